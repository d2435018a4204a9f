/** Probabilities in words, so that what is weak reads weak. The number stays beside the word. */

/**
 * How surely a generation is another campaign than the one below it.
 * @param {number | null} distinctness 0 to 1
 */
export function distinctness(distinctness) {
  if (distinctness === null) return "not computed";
  if (distinctness >= 0.95) return "surely another campaign";
  if (distinctness >= 0.8) return "very likely another campaign";
  if (distinctness >= 0.6) return "likely another campaign";
  if (distinctness >= 0.4) return "could be one campaign with the one below";
  return "likely one campaign with the one below";
}

/**
 * How surely a layer belongs where it is placed.
 * @param {number | null} confidence 0 to 1
 */
export function placement(confidence) {
  if (confidence === null) return "not placed";
  if (confidence >= 0.95) return "sure";
  if (confidence >= 0.8) return "very likely";
  if (confidence >= 0.5) return "likely";
  return "unsure";
}

/** @param {number | null} value */
export function percent(value) {
  if (value === null) return "";
  // 0.999 is not certainty: it must not read as 100 %.
  const whole = Math.round(value * 100);
  if (whole === 100 && value < 1) return "over 99 %";
  if (whole === 0 && value > 0) return "under 1 %";
  return `${whole} %`;
}
