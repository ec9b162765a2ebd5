// What on the open page is too small for a thumb, too small to read, or too faint for poor light. Gives a list of words.
const SMALL = "SMALL_PRINT";
const found = [];
const seen = (element) => {
  if (!element.checkVisibility({ visibilityProperty: true, opacityProperty: true })) return false;
  const { width, height } = element.getBoundingClientRect();
  return width > 1 && height > 1 && !element.closest(".unseen, .skip, [aria-hidden=true]");
};
const named = (element) => `${element.tagName.toLowerCase()}${element.className && element.className.baseVal === undefined ? `.${element.className}` : ""} “${(element.innerText || element.value || element.textContent || "").trim().slice(0, 40)}”`;
const blocky = (element) => !["inline", "contents"].includes(getComputedStyle(element).display);

/** A link among other words is in a sentence. */
function inSentence(link) {
  if (getComputedStyle(link).display !== "inline") return false;
  let block = link.parentElement;
  while (!blocky(block)) block = block.parentElement;
  const rest = block.innerText.replace(/\s+/g, " ").trim().length - link.innerText.trim().length;
  return rest > 1;
}

/** The area that answers to a finger. */
function area(target) {
  const boxes = [target, ...(target.labels || [])].map((one) => one.getBoundingClientRect());
  const after = getComputedStyle(target, "::after");
  if (after.position === "absolute" && after.content !== "none" && getComputedStyle(target).position === "static") boxes.push(target.offsetParent.getBoundingClientRect());
  const left = Math.min(...boxes.map((box) => box.left));
  const top = Math.min(...boxes.map((box) => box.top));
  return { width: Math.max(...boxes.map((box) => box.right)) - left, height: Math.max(...boxes.map((box) => box.bottom)) - top };
}

for (const target of document.querySelectorAll("a[href], button, input, select, summary, textarea")) {
  if (!seen(target) || (target.matches("a") && inSentence(target))) continue;
  const { width, height } = area(target);
  // The part of a pixel that a layout loses is no finger's.
  if (width < 43.95 || height < 43.95) found.push(`target of ${Math.round(width)} × ${Math.round(height)} px: ${named(target)}`);
}

const canvas = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
function channels(colour) {
  canvas.clearRect(0, 0, 1, 1);
  canvas.fillStyle = colour;
  canvas.fillRect(0, 0, 1, 1);
  return Array.from(canvas.getImageData(0, 0, 1, 1).data);
}
const light = ([r, g, b]) => {
  const [x, y, z] = [r, g, b].map((value) => (value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4));
  return 0.2126 * x + 0.7152 * y + 0.0722 * z;
};
/** The nearest ground that is painted whole. */
function ground(element) {
  for (let at = element; at; at = at.parentElement) {
    const colour = channels(getComputedStyle(at).backgroundColor);
    if (colour[3] === 255) return colour;
  }
  return channels("Canvas");
}

const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
const told = new Set();
while (walker.nextNode()) {
  const element = walker.currentNode.parentElement;
  if (!walker.currentNode.data.trim() || told.has(element) || element.closest("svg, script, noscript, option, datalist") || !seen(element)) continue;
  told.add(element);
  const { color, fontSize } = getComputedStyle(element);
  const [one, other] = [light(channels(color)), light(ground(element))].sort((a, b) => b - a);
  const contrast = (one + 0.05) / (other + 0.05);
  if (contrast < 7) found.push(`contrast of ${contrast.toFixed(2)}: ${named(element)}`);
  const least = element.closest(SMALL) ? 15 : 17;
  if (parseFloat(fontSize) < least - 0.01) found.push(`text of ${fontSize}: ${named(element)}`);
}
return [found, told.size];
