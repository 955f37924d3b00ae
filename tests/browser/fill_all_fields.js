// Puts arguments[0] into every field of the page's form that takes free text.
const form = document.querySelector('main form[method=post]');
const fields = [...form.elements].filter(e => e.tagName === 'TEXTAREA' || e.type === 'text');
fields.forEach(e => {
  e.value = arguments[0];
  e.dispatchEvent(new Event('input', {bubbles: true}));
});
return fields.map(e => e.name);
