// Every page is whole without this module. With it, parts of the page are asked for in the background and put in place:
// one request in flight, the newest wins, and nothing shown is older than what replaced it.
const $ = (id) => document.getElementById(id), form = $('try');
const parse = (text) => new DOMParser().parseFromString(text, 'text/html');
const knobs = (of = document) => [...of.querySelectorAll('#try input[type=range]')];
const lines = (of = document) => [...of.querySelectorAll('input[data-line]')];
let flight = null, waiting = null, sending = 0, working = 0, stirred = false;

// Whoever waits for the page to come to rest can see when it has.
function busy(more) {
  working += more;
  $('content').ariaBusy = String(working > 0);
}

// Nothing is moved or replaced while a finger or a button of the mouse is down on it: a click is never lost to an answer
// that comes in the middle of it. A slider is no such thing, it is there to be followed.
let pressed = null;
addEventListener('pointerdown', ({ target }) => {
  if (pressed || target.matches?.('input[type=range]')) return;
  let release;
  const done = new Promise((go) => { release = go; });
  pressed = { done, release, latest: setTimeout(up, 3000) };
}, true);
function up() {
  const was = pressed;
  pressed = null;
  clearTimeout(was?.latest);
  was?.release();
}
// A touch becomes a click a moment after the finger has left.
addEventListener('pointerup', ({ pointerType }) => setTimeout(up, pointerType === 'touch' ? 120 : 0), true);
addEventListener('pointercancel', up, true);

// What is the same stays the same element, so that focus, what is unfolded and workings outlive an answer.
const OWN = ['open', 'aria-expanded'];
function morph(here, fresh) {
  const names = new Set([...fresh.children].map((one) => one.id).filter(Boolean));
  let old = here.firstChild;
  for (const node of [...fresh.childNodes]) {
    while (old && (old.dataset?.of || (old.id && !names.has(old.id)))) {
      const next = old.nextSibling;
      if (!old.dataset?.of) old.remove();
      old = next;
    }
    const known = node.id ? [...here.children].find((one) => one.id === node.id) : old?.id ? null : old;
    if (!known || known.nodeName !== node.nodeName) { here.insertBefore(node, old); continue; }
    if (known === old) old = old.nextSibling; else here.insertBefore(known, old);
    if (known.isEqualNode(node)) continue;
    // What comes later leaves what is shown meanwhile, marked as older than the rest.
    if (node.dataset?.later !== undefined) { known.dataset.later = ''; continue; }
    if (known.nodeType !== 1 || known.nodeName === 'svg') { known.replaceWith(node); continue; }
    for (const { name } of [...known.attributes]) if (!OWN.includes(name) && !node.hasAttribute(name)) known.removeAttribute(name);
    for (const { name, value } of node.attributes) if (!OWN.includes(name) && known.getAttribute(name) !== value) known.setAttribute(name, value);
    morph(known, node);
  }
  while (old) {
    const next = old.nextSibling;
    if (!old.dataset?.of) old.remove();
    old = next;
  }
}

function put(text, settle) {
  const page = parse(text);
  const ids = (of) => knobs(of).map((knob) => knob.id).join();
  if (settle && page.querySelector('#answer') && ids(page) !== ids()) return location.reload();
  for (const part of page.querySelectorAll('[data-part]')) {
    const here = $(part.id);
    if (here && !here.isEqualNode(part)) morph(here, part);
  }
  for (const fresh of settle ? knobs(page) : []) {
    const here = $(fresh.id);
    for (const name of here ? ['min', 'max', 'data-stored', 'aria-valuetext'] : []) here.setAttribute(name, fresh.getAttribute(name));
    if (here) [here.disabled, here.value] = [fresh.disabled, fresh.value];
  }
  for (const fresh of settle ? lines(page) : []) {
    const here = $(fresh.id);
    if (here) [here.value, here.dataset.stored, here.disabled] = [fresh.value, fresh.dataset.stored, fresh.disabled];
  }
  for (const fresh of settle ? page.querySelectorAll('input[type=checkbox]') : []) {
    const here = fresh.id && $(fresh.id);
    if (here) here.checked = fresh.checked;
  }
  const hash = page.querySelector('#try')?.dataset.hash;
  if (settle && form && hash) form.dataset.hash = hash;
  const turn = page.querySelector('#content')?.dataset.turn;
  if (turn) $('content').dataset.turn = turn;
  renewed(page);
  const opened = [...document.querySelectorAll('a.n[aria-expanded=true]')];
  for (const work of document.querySelectorAll('.work[data-of]')) {
    if (!opened.some((link) => link.pathname === work.dataset.of)) work.remove();
  }
  for (const link of opened) unfold(link).catch(() => {});
  document.dispatchEvent(new Event('put'));
}

// A program that was started anew takes no form of the one before it.
function renewed(page) {
  const token = page.querySelector('input[name=token]')?.value;
  if (token) for (const field of document.querySelectorAll('input[name=token]')) field.value = token;
  return token;
}

async function ask(address, part, settle = false) {
  // What comes later is worth less than anything newer.
  if (flight && flight.part === 'answer') { waiting = [address, part, settle || waiting?.[2]]; return; }
  flight?.stop.abort();
  const mine = (flight = { part, stop: new AbortController() });
  let again = false;
  busy(1);
  try {
    const reply = await fetch(address, { headers: { 'x-part': part }, signal: mine.stop.signal });
    const text = await reply.text();
    await pressed?.done;
    if (mine !== flight) return unasked(part);
    // What was moved meanwhile is not moved back; the reply that waits will settle it.
    if (waiting) waiting[2] ||= settle;
    if (reply.status < 300) put(text, settle && !waiting);
    again = reply.status === 204;
    $('gone').hidden = true;
  } catch {
    if (mine !== flight) return unasked(part);
    $('gone').hidden = false;
  } finally { busy(-1); }
  const next = waiting;
  flight = waiting = null;
  if (next) ask(...next);
  else if (part === 'answer') steps();
  else if (part !== 'answer' && !again) later();
  else if (again) setTimeout(() => flight ?? steps(), 300);
}

// What one more step of each control would bring, where they are in sight.
function steps() {
  if (form && !form.closest('details:not([open])')) ask(location.href, 'steps'); else later();
}

// What takes longer than all else on a page is asked for last, and only where it is unfolded; each once for an answer.
function later() {
  const left = document.querySelector('details[open] > [data-later=""]');
  if (!left) return;
  left.dataset.later = 'asked';
  ask(location.href, left.id);
}
function unasked(part) {
  if ($(part)?.dataset.later) $(part).dataset.later = '';
}
document.addEventListener('toggle', () => flight ?? later(), true);

// What the controls and the forms that are only looked at ask for stands in the address, so that a reload shows the same.
function asked() {
  // While something is being written, what is on disk is about to be another.
  const moved = knobs().filter((knob) => sending || knob.value !== knob.dataset.stored);
  const query = new URLSearchParams(moved.map((knob) => [knob.name, knob.value]));
  for (const live of document.querySelectorAll('form[data-live]')) {
    const touched = live.dataset.touched !== undefined || live.closest('details')?.open;
    for (const [name, value] of touched ? new FormData(live) : []) {
      const own = knobs().some((knob) => knob.name === name), line = lines().find((line) => line.name === name);
      if (!own && !(line && line.value === line.dataset.stored)) query.append(name, value);
    }
  }
  return location.pathname + (query.size ? `?${query}` : '');
}

form?.addEventListener('input', ({ target }) => {
  const said = target.dataset.words?.split('|')[target.value] ?? target.value + target.dataset.unit;
  $(`out-${target.id}`).textContent = target.ariaValueText = said;
  stirred = true;
  history.replaceState(null, '', asked());
  ask(location.href, 'answer');
});

// A thing of the design is changed on a sheet over the page; without scripts the same form is a page of its own.
const desk = $('desk');

function lay(text, at = '') {
  const thing = parse(text).querySelector('.thing');
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

// What is kept is what the controls show, also where the newest answer is still on its way; and what they were is what this
// page had read of the file.
function body(of, button) {
  const sent = new URLSearchParams(new FormData(of, button));
  if (of.dataset.keep === undefined) return sent;
  for (const knob of [...knobs(), ...lines()]) {
    for (const name of [knob.name, `was-${knob.name}`]) sent.delete(name);
    if (knob.value === knob.dataset.stored) continue;
    sent.set(knob.name, knob.value);
    sent.set(`was-${knob.name}`, knob.dataset.stored);
  }
  if (form?.dataset.hash) sent.set('hash', form.dataset.hash);
  return sent;
}

const post = (of, button) => fetch(of.action, { method: 'POST', body: body(of, button) }).catch(() => null);

async function send(of, button) {
  stirred = false;
  let reply = await post(of, button);
  if (reply?.status === 403) {
    // Only the program's own pages know its token; what was typed stays.
    const page = await fetch(location.href).then((fresh) => fresh.text()).catch(() => '');
    if (renewed(parse(page))) reply = await post(of, button);
  }
  if (!reply) { $('gone').hidden = false; return; }
  const text = await reply.text();
  await pressed?.done;
  if (reply.status === 403 || reply.status >= 500) return location.reload();
  if (lay(text)) return;
  if (desk?.open) desk.close();
  if (reply.ok && new URL(reply.url).pathname !== location.pathname) return location.assign(reply.url);
  // What is still on its way was asked for before this.
  flight?.stop.abort();
  flight = waiting = null;
  if (reply.ok && stirred) return void ask(location.href, 'answer', true);
  if (reply.ok && of.dataset.keep !== undefined) history.replaceState(null, '', location.pathname);
  put(text, true);
  if (!reply.ok) $('notice').scrollIntoView({ block: 'nearest' });
  steps();
}

// One after another: who presses twice means it twice, unless what was pressed is gone by then.
let line = Promise.resolve();
function inLine(of, button) {
  sending += 1;
  busy(1);
  line = line.then(() => of.isConnected && send(of, button)).catch(() => location.reload()).then(() => { sending -= 1; busy(-1); });
}

document.addEventListener('submit', (event) => {
  if (event.target.method !== 'post' || event.target.dataset.whole !== undefined) return event.target === form && event.preventDefault();
  event.preventDefault();
  inLine(event.target, event.submitter);
});

// What was typed is checked by the reader of the file itself as soon as the field is left; of two answers the one to the
// newer question counts, in whatever order they come.
let question = 0;
desk?.addEventListener('change', async ({ target }) => {
  const sheet = target.closest('form');
  if (!target.name?.startsWith('f.')) return;
  const mine = (question += 1);
  const typed = new URLSearchParams(new FormData(sheet));
  typed.set('do', 'check');
  busy(1);
  const reply = await fetch(sheet.action, { method: 'POST', body: typed }).catch(() => null);
  const text = reply?.ok ? await reply.text().catch(() => null) : null;
  await pressed?.done;
  busy(-1);
  if (text === null || mine !== question) return;
  const checked = parse(text);
  for (const said of sheet.querySelectorAll('.fault')) {
    // Its room stays when a complaint goes: the button below does not move away from a hand that is on its way to it.
    said.style.minHeight = `${said.getBoundingClientRect().height}px`;
    said.replaceChildren(...(checked.getElementById(said.id)?.childNodes ?? []));
    const field = said.closest('.field'), bad = said.hasChildNodes();
    field.classList.toggle('bad', bad);
    field.querySelector('input[type=text],select')?.[bad ? 'setAttribute' : 'removeAttribute']('aria-invalid', 'true');
  }
});

// A walk on paper: what is opened and where one stands is in the address, so that it can be gone back and passed on.
function walk(address, push) {
  history[push ? 'pushState' : 'replaceState'](null, '', address);
  ask(location.href, 'answer', true);
}
addEventListener('popstate', () => ask(location.href, 'answer', true));
document.addEventListener('input', ({ target }) => {
  const live = target.closest('form[data-live]');
  if (!live) return;
  live.dataset.touched = '';
  // A slider is not set back by the answer to where it was before.
  history.replaceState(null, '', asked());
  ask(location.href, 'answer', target.type !== 'range');
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
  const work = parse(await reply.text()).querySelector('.work');
  await pressed?.done;
  if (!work || link.ariaExpanded !== 'true' || !link.isConnected) return;
  work.dataset.of = link.pathname;
  const before = [...document.querySelectorAll('.work')].find((old) => old.dataset.of === link.pathname);
  if (before) morph(before, work); else link.closest('p, figure').after(work);
}

let wanted = '';
document.addEventListener('click', (event) => {
  const nudge = event.target.closest('[data-nudge]');
  if (nudge) {
    // The control itself knows its ends.
    const knob = $(nudge.dataset.knob), before = knob.value;
    if (nudge.dataset.nudge < 0) knob.stepDown(); else knob.stepUp();
    return void (knob.value !== before && knob.dispatchEvent(new Event('input', { bubbles: true })));
  }
  if (event.metaKey || event.ctrlKey || event.shiftKey) return;
  const edit = event.target.closest('a.edit'), close = event.target.closest('#desk [data-close]');
  if (close) { event.preventDefault(); return desk.close(); }
  if (edit && desk) {
    event.preventDefault();
    const mine = (wanted = edit.href);
    busy(1);
    fetch(mine).then((reply) => reply.text())
      .then((text) => mine === wanted && (lay(text, edit.hash) || location.assign(mine)))
      .catch(() => location.assign(mine)).finally(() => busy(-1));
    return;
  }
  const step = event.target.closest('a[data-walk]'), drawn = event.target.closest('.walks [data-of]')?.dataset.of;
  if (step) { event.preventDefault(); return walk(step.href.split('#')[0], true); }
  if (drawn) {
    // The symbol of a piece of equipment is stood at, the flag or device of a circuit opens its switch.
    const of = (css, key) => [...document.querySelectorAll(css)].find((one) => one.dataset[key] === drawn);
    return (of('.places a', 'place') ?? of('#paper input', 'circuit'))?.click();
  }
  const map = event.target.closest('#charge-map svg');
  if (map) {
    const [wide, wideEnd, phone, phoneEnd] = $('charge-map').dataset.days.split(' ').map(Number);
    const [from, to] = map.closest('.phone') ? [phone, phoneEnd] : [wide, wideEnd];
    const box = map.getBoundingClientRect(), day = $('day');
    const share = ((event.clientX - box.left) / box.width - from) / (to - from);
    if (share < 0 || share >= 1) return;
    $('day-zoom').open = true;
    day.value = 1 + Math.floor(share * 365);
    return void day.dispatchEvent(new Event('input', { bubbles: true }));
  }
  const square = event.target.closest('.picks [data-of]');
  if (square) { $(`pick-${square.dataset.of}`)?.click(); return $(`pick-${square.dataset.of}`)?.focus(); }
  const link = event.target.closest('a.n');
  if (!link) return;
  event.preventDefault();
  if (link.ariaExpanded !== 'true') return void unfold(link).catch(() => location.assign(link.href));
  link.ariaExpanded = null;
  document.querySelectorAll('.work').forEach((work) => work.dataset.of === link.pathname && work.remove());
});

// A browser allows few connections to one place: a page that nobody sees gives its own back. The stream begins with the
// turn at which the workbook is: what changed before it was open is asked for, what this page shows already is not.
const refresh = () => ask(location.href, 'answer', true);
let events = null, before = false;
function listen() {
  events?.close();
  if (document.hidden) return;
  events = new EventSource('/events');
  events.addEventListener('changed', ({ data }) => data !== $('content').dataset.turn && refresh());
  events.onerror = () => { $('gone').hidden = false; };
  events.onopen = () => { if (before) refresh(); before = true; };
}
if (document.querySelector('[data-line]')) import('/assets/skyline.js');
steps();
$('try-wires')?.addEventListener('toggle', steps);
if (desk) { document.addEventListener('visibilitychange', listen); listen(); }
document.documentElement.dataset.alive = '';
