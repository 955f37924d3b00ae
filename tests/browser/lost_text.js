// Fields of arguments[0] that no longer hold the text arguments[1]. If the
// form did not come back, the page must show the text.
const plain = s => s.replace(/\s+/g, ' ').trim();
const wanted = plain(arguments[1]);
const field = name => document.querySelector(`:is(input, textarea)[name="${name}"]:not([type=hidden])`);
if (arguments[0].some(field)) {
  return arguments[0]
    .filter(name => !field(name) || plain(field(name).value) !== wanted)
    .map(name => `${name} came back as ${field(name) ? JSON.stringify(field(name).value.slice(0, 80)) : 'nothing'}`);
}
return plain(document.body.textContent).includes(wanted) ? [] : [`${location.pathname} does not show it`];
