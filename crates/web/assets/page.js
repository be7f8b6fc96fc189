// Every page is whole without this module. With it, parts of the page are asked for in the background and put in place:
// one request in flight, the newest wins, and nothing shown is older than what replaced it.
const $ = (id) => document.getElementById(id), form = $('try');
let flight = null, waiting = null;

function put(text, settle) {
  const page = new DOMParser().parseFromString(text, 'text/html');
  const knobs = (of) => [...of.querySelectorAll('input[type=range]')].map((knob) => knob.id).join();
  if (settle && knobs(page) !== knobs(document)) return location.reload();
  const focused = document.activeElement?.id;
  const opened = [...document.querySelectorAll('a.n[aria-expanded=true]')].map((link) => link.pathname);
  for (const part of page.querySelectorAll('[data-part]')) {
    const here = $(part.id);
    if (here && here.innerHTML !== part.innerHTML) here.replaceChildren(...part.childNodes);
  }
  for (const fresh of settle ? page.querySelectorAll('input[type=range]') : []) {
    const here = $(fresh.id);
    for (const name of here ? ['min', 'max', 'data-stored'] : []) here.setAttribute(name, fresh.getAttribute(name));
    if (here) [here.disabled, here.value] = [fresh.disabled, fresh.value];
  }
  if (focused !== document.activeElement?.id) $(focused)?.focus();
  const closed = [...document.querySelectorAll('a.n:not([aria-expanded])')];
  for (const path of opened) closed.filter((link) => link.pathname === path).slice(0, 1).forEach(unfold);
}

async function ask(address, part, settle = false) {
  // Steps are worth less than anything newer.
  if (flight && flight.part !== 'steps') { waiting = [address, part, settle || waiting?.[2]]; return; }
  flight?.stop.abort();
  const mine = (flight = { part, stop: new AbortController() });
  $('content').ariaBusy = 'true';
  try {
    const reply = await fetch(address, { headers: { 'x-part': part }, signal: mine.stop.signal });
    const text = await reply.text();
    if (mine !== flight) return;
    // What was moved meanwhile is not moved back; the reply that waits will settle it.
    if (waiting) waiting[2] ||= settle;
    if (reply.status < 300) put(text, settle && !waiting);
    $('gone').hidden = true;
  } catch {
    if (mine !== flight) return;
    $('gone').hidden = false;
  }
  const next = waiting;
  flight = waiting = null;
  $('content').ariaBusy = 'false';
  if (next) ask(...next); else if (part === 'answer' && form) ask(address, 'steps');
}

form?.addEventListener('input', ({ target }) => {
  $(`out-${target.id}`).textContent = target.value + target.dataset.unit;
  const moved = [...form.querySelectorAll('input[type=range]')].filter((knob) => knob.value !== knob.dataset.stored);
  const query = new URLSearchParams(moved.map((knob) => [knob.name, knob.value])).toString();
  history.replaceState(null, '', location.pathname + (query && `?${query}`));
  ask(location.href, 'answer');
});

// A thing of the design is changed on a sheet over the page; without scripts the same form is a page of its own.
const desk = $('desk');

function lay(text, at = '') {
  const thing = new DOMParser().parseFromString(text, 'text/html').querySelector('.thing');
  if (!thing) return false;
  thing.querySelector('h1').id = 'desk-head';
  const top = desk.open ? desk.scrollTop : 0;
  desk.replaceChildren(thing);
  if (!desk.open) desk.showModal();
  desk.scrollTop = top;
  const bad = thing.querySelector('[aria-invalid=true]') ?? (at ? thing.querySelector(at) : null);
  bad?.closest('details')?.setAttribute('open', '');
  (bad ?? thing.querySelector('input[type=text],select'))?.focus();
  return true;
}

async function send(form, button) {
  const body = new URLSearchParams(new FormData(form, button));
  const reply = await fetch(form.action, { method: 'POST', body }).catch(() => null);
  if (!reply) { $('gone').hidden = false; return; }
  const text = await reply.text();
  if (reply.status === 403 || reply.status >= 500) return location.reload();
  if (lay(text)) return;
  if (desk.open) desk.close();
  if (reply.ok && new URL(reply.url).pathname !== location.pathname) return location.assign(reply.url);
  if (reply.ok && form.dataset.keep !== undefined) history.replaceState(null, '', location.pathname);
  put(text, true);
}

document.addEventListener('submit', (event) => {
  if (event.target.method !== 'post' || event.target.dataset.whole !== undefined) return event.target === form && event.preventDefault();
  event.preventDefault();
  send(event.target, event.submitter);
});

// What was typed is checked by the reader of the file itself as soon as the field is left.
desk?.addEventListener('change', async ({ target }) => {
  const sheet = target.closest('form');
  if (!target.name?.startsWith('f.')) return;
  const body = new URLSearchParams(new FormData(sheet));
  body.set('do', 'check');
  const reply = await fetch(sheet.action, { method: 'POST', body }).catch(() => null);
  if (!reply?.ok) return;
  const checked = new DOMParser().parseFromString(await reply.text(), 'text/html');
  for (const said of sheet.querySelectorAll('.fault')) {
    said.replaceChildren(...(checked.getElementById(said.id)?.childNodes ?? []));
    said.closest('.field').classList.toggle('bad', said.hasChildNodes());
  }
});

document.addEventListener('keydown', (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.closest('input[type=text],textarea')) return;
  const what = { z: event.shiftKey ? 'again' : 'back', y: 'again' }[event.key.toLowerCase()];
  const button = what && document.querySelector(`#turns button[value=${what}]`);
  if (button) { event.preventDefault(); button.click(); }
});

async function unfold(link) {
  link.ariaExpanded = 'true';
  const reply = await fetch(link.href, { headers: { 'x-part': 'working' } });
  const work = new DOMParser().parseFromString(await reply.text(), 'text/html').querySelector('.work');
  if (work && link.ariaExpanded === 'true') link.closest('p, figure').after(work);
  if (work) work.dataset.of = link.pathname;
}

document.addEventListener('click', (event) => {
  if (event.metaKey || event.ctrlKey || event.shiftKey) return;
  const edit = event.target.closest('a.edit'), close = event.target.closest('#desk [data-close]');
  if (close) { event.preventDefault(); return desk.close(); }
  if (edit && desk) {
    event.preventDefault();
    fetch(edit.href).then((reply) => reply.text()).then((text) => lay(text, edit.hash) || location.assign(edit.href))
      .catch(() => location.assign(edit.href));
    return;
  }
  const link = event.target.closest('a.n');
  if (!link) return;
  event.preventDefault();
  if (link.ariaExpanded !== 'true') return void unfold(link).catch(() => location.assign(link.href));
  link.ariaExpanded = null;
  document.querySelectorAll('.work').forEach((work) => work.dataset.of === link.pathname && work.remove());
});

// A browser allows few connections to one place: a page that nobody sees gives its own back. Whatever opens again may
// have missed something.
const refresh = () => ask(location.href, 'answer', true);
let events = null, before = false;
function listen() {
  events?.close();
  if (document.hidden) return;
  events = new EventSource('/events');
  events.addEventListener('changed', refresh);
  events.onerror = () => { $('gone').hidden = false; };
  events.onopen = () => { if (before) refresh(); before = true; };
}
if (form) ask(location.href, 'steps');
if (desk) { document.addEventListener('visibilitychange', listen); listen(); }
