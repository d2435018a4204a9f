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
