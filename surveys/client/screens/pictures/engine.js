/** The viewer library, loaded when a picture is first looked at. Where it lies stands in the page, for a server gives files names of their own. */

/** @typedef {import("openseadragon")} OpenSeadragon */
/** @typedef {typeof import("openseadragon")} Engine */

/** @type {Promise<Engine> | null} */
let loading = null;

/** @returns {Promise<Engine>} */
export function engine() {
  loading ??= load().catch((error) => {
    loading = null;
    throw error;
  });
  return loading;
}

/** It is no module: it puts one name into the window. @returns {Promise<Engine>} */
function load() {
  // The library would put a style sheet of its own into the page, which the page's policy refuses, unless one so marked is there already.
  const marked = document.createElement("style");
  marked.nonce = document.documentElement.dataset["styleNonce"] ?? "";
  marked.dataset["openseadragonMobileCss"] = "true";
  document.head.append(marked);
  return new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.src = document.documentElement.dataset["viewer"] ?? "";
    script.addEventListener("load", () => resolve(/** @type {any} */ (window).OpenSeadragon));
    script.addEventListener("error", () => {
      script.remove();
      reject(new Error("The viewer of pictures could not be loaded."));
    });
    document.head.append(script);
  });
}

/** A tile is a MiB of memory; two large pictures upon each other show about 80 at a time. */
const MOST_TILES = 160;

/** How the library shows pictures here: keys and sizes are our own business. */
export const LOOKING = {
  drawer: /** @type {const} */ ("canvas"), showNavigationControl: false, showNavigator: false, keyboardNavEnabled: false, tabIndex: -1, blendTime: 0, autoResize: false,
  visibilityRatio: 0.3, minZoomImageRatio: 0.5, maxZoomPixelRatio: 8, zoomPerScroll: 1.25, imageSmoothingEnabled: true, imageLoaderLimit: 6, tileRetryMax: 25, tileRetryDelay: 2500, maxImageCacheCount: MOST_TILES,
  gestureSettingsMouse: { clickToZoom: false, dblClickToZoom: false }, gestureSettingsTouch: { clickToZoom: false, dblClickToZoom: true },
};

/** Where the library finds the tiles of a picture. @param {import("../../model/pictures/types.js").Tiles} tiles */
export function tileSourceOf({ width, height, tile_size: size, overlap, levels, tile }) {
  const whole = levels.findLast((one) => Math.max(one.width, one.height) <= size)?.level ?? 0;
  return {
    width, height, tileSize: size, tileOverlap: overlap, minLevel: whole, maxLevel: levels.at(-1)?.level ?? 0,
    getTileUrl: (/** @type {number} */ level, /** @type {number} */ x, /** @type {number} */ y) => tile.replace("{level}", String(level)).replace("{column}", String(x)).replace("{row}", String(y)),
  };
}
