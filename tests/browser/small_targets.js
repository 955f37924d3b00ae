// What a gloved finger would miss: links, buttons and fields smaller than
// arguments[0]. A box or a dot counts with its label. A link within a sentence
// is as tall as its line.
const least = arguments[0] - 0.5;
const shown = e => e.checkVisibility({visibilityProperty: true, opacityProperty: true}) && e.getClientRects().length > 0;
const offScreen = e => { const b = e.getBoundingClientRect(); return b.right <= 0 || b.bottom + scrollY <= 0; };
const inSentence = e => e.tagName === 'A' && getComputedStyle(e).display === 'inline' &&
  [...e.parentElement.childNodes].some(n => n.nodeType === 3 && /\w/.test(n.data));
const area = e => {
  const label = /^(checkbox|radio)$/.test(e.type) && e.labels && e.labels[0];
  return (label || e).getBoundingClientRect();
};
return [...document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [tabindex="0"]')]
  .filter(e => shown(e) && !offScreen(e) && !e.disabled && !inSentence(e) && !(e.tabIndex === 0 && e.matches('svg, div, section, figure, pre')))
  .map(e => [e, area(e)])
  .filter(([, b]) => b.width < least || b.height < least)
  .map(([e, b]) => `${Math.round(b.width)} x ${Math.round(b.height)} px: ${e.outerHTML.replace(/\s+/g, ' ').slice(0, 120)}`);
