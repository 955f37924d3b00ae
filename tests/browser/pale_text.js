// Text whose colour is under 4.5 to 1 against white paper.
const part = c => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
const canvas = Object.assign(document.createElement('canvas'), {width: 1, height: 1}).getContext('2d', {willReadFrequently: true});
const contrast = colour => {
  canvas.fillStyle = 'white'; canvas.fillRect(0, 0, 1, 1);
  canvas.fillStyle = colour; canvas.fillRect(0, 0, 1, 1);
  const [r, g, b] = canvas.getImageData(0, 0, 1, 1).data;
  return 1.05 / (0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b) + 0.05);
};
const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
const pale = [];
while (texts.nextNode()) {
  const e = texts.currentNode.parentElement;
  if (!texts.currentNode.data.trim() || !e.checkVisibility() || e.closest('script, style, title, desc')) continue;
  const style = getComputedStyle(e);
  const colour = e instanceof SVGElement ? style.fill : style.color;
  if (contrast(colour) < 4.5) pale.push(`${colour}: ${texts.currentNode.data.trim().slice(0, 60)}`);
}
return pale.slice(0, 10);
