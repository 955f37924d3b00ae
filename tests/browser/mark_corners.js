// Marks the upper left and lower right corner of every element of a selector
// with a tiny word that takes no room. Returns how many were marked.
const found = [...document.querySelectorAll(arguments[0])]
  .filter(e => e.checkVisibility() || e.closest('[data-paper]'));
found.forEach((e, k) => {
  e.style.position = 'relative';
  const home = e.tagName === 'TR' ? [e.cells[0], e.cells[e.cells.length - 1]] : [e, e];
  [['a', 'top', 'left'], ['z', 'bottom', 'right']].forEach(([end, y, x], n) => {
    const mark = document.createElement('span');
    mark.dataset.corner = end;
    mark.textContent = `\u00a7${k}${end}`;
    Object.assign(mark.style, {position: 'absolute', [y]: '0', [x]: '0', fontSize: '4px', lineHeight: '4px', color: 'black'});
    home[n].append(mark);
  });
});
return found.length;
