// What reaches past the window's right edge and is not inside something that
// scrolls by itself.
// A page that does not say it fits a phone is laid out wider than the screen.
const edge = Math.min(document.documentElement.clientWidth, screen.width);
if (document.scrollingElement.scrollWidth <= edge) return [];
const scrolls = e => e && (/auto|scroll|hidden|clip/.test(getComputedStyle(e).overflowX) || scrolls(e.parentElement));
return [...document.body.querySelectorAll('*')]
  .filter(e => e.getBoundingClientRect().right > edge + 0.5 && !scrolls(e.parentElement))
  .map(e => `${Math.round(e.getBoundingClientRect().right - edge)} px: ${e.outerHTML.slice(0, 120)}`)
  .slice(0, 10)
  .concat([`the page is ${document.scrollingElement.scrollWidth} px wide in a window of ${edge}`]);
