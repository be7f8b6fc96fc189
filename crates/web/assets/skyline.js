// Handles over the picture of the sun's way, by which the horizon of a plane is drawn. What is drawn is typed into the
// field below the picture; the page itself knows only that field.
const half = (value) => Math.round(value * 2) / 2;
const ids = ['wide', 'phone'];

function read(field) {
  const points = field.value.split(/[,;\n]/).map((part) => part.trim().split(/[ :°]+/).filter(Boolean).map(Number));
  return points.filter(([bearing, up, more]) => bearing >= 0 && bearing < 360 && up >= 0 && up <= 90 && more === undefined);
}

function write(field, points) {
  // Of two points at one bearing the later one counts.
  const at = new Map(points.map(([bearing, up]) => [bearing, up]));
  field.value = [...at].sort((a, b) => a[0] - b[0]).map((point) => point.join(' ')).join(', ');
  field.dispatchEvent(new Event('input', { bubbles: true }));
}

function height(points, bearing) {
  const sorted = [...points].sort((a, b) => a[0] - b[0]);
  if (!sorted.length) return 0;
  const after = sorted.findIndex(([at]) => at > bearing);
  const right = sorted[after < 0 ? 0 : after], left = sorted[(after < 0 ? sorted.length : after || sorted.length) - 1];
  const span = (right[0] - left[0] + 360) % 360;
  return span ? left[1] + (right[1] - left[1]) * (((bearing - left[0] + 360) % 360) / span) : left[1];
}

class Sheet {
  constructor(box, form) {
    [this.box, this.form] = [box, form];
    this.over = document.createElement('div');
    this.over.className = 'over';
    this.over.dataset.of = 'horizon';
    this.over.innerHTML = '<svg viewBox="0 0 100 100" preserveAspectRatio="none" aria-hidden="true"><polyline/></svg>';
    this.over.addEventListener('pointerdown', (event) => this.press(event));
    this.draw();
  }

  get field() { return document.getElementById(this.box.dataset.line); }

  frame() {
    const [x0, x1, y0, y1] = this.box.dataset[this.form].split(' ').map(Number);
    const [middle, reach, top] = this.box.dataset.sky.split(' ').map(Number);
    return { x0, x1, y0, y1, middle, reach, top };
  }

  turned(bearing) { return ((bearing - this.frame().middle + 540) % 360) - 180; }

  draw() {
    const field = this.field, host = this.box.querySelector(`.${this.form}`);
    const shown = field && !field.disabled && field.closest('details').open;
    if (!shown) return void this.over.remove();
    if (this.over.parentNode !== host) host.append(this.over);
    if (this.dragged) return;
    const { x0, x1, y0, y1, reach } = this.frame();
    Object.assign(this.over.style, { left: `${100 * x0}%`, right: `${100 - 100 * x1}%`, top: `${100 * y0}%`, bottom: `${100 - 100 * y1}%` });
    const points = read(field), seen = points.filter(([bearing]) => Math.abs(this.turned(bearing)) <= reach);
    const held = document.activeElement?.dataset?.at;
    this.over.querySelectorAll('button').forEach((old, at) => at >= seen.length && old.remove());
    seen.forEach((point, at) => {
      const known = this.over.querySelectorAll('button')[at];
      const one = known ?? this.over.appendChild(document.createElement('button'));
      if (!known) {
        one.type = 'button';
        one.setAttribute('role', 'slider');
        one.addEventListener('keydown', (event) => this.key(event, one));
      }
      this.place(one, point);
    });
    if (held && this.over.contains(document.activeElement) && document.activeElement.dataset.at !== held) {
      this.over.querySelector(`[data-at="${held}"]`)?.focus();
    }
    this.line(points);
  }

  place(one, [bearing, up]) {
    const { reach, top } = this.frame();
    one.dataset.at = bearing;
    Object.assign(one.style, { left: `${50 + (50 * this.turned(bearing)) / reach}%`, top: `${100 - (100 * Math.min(up, top)) / top}%` });
    one.ariaLabel = `Horizon at bearing ${bearing}°`;
    [one.ariaValueMin, one.ariaValueMax, one.ariaValueNow, one.ariaValueText] = ['0', '90', `${up}`, `${up}° above level`];
  }

  line(points) {
    const { reach, top } = this.frame(), drawn = [];
    for (let at = 0; at <= 180; at += 1) {
      const turned = reach * (at / 90 - 1), up = height(points, (turned + this.frame().middle + 360) % 360);
      drawn.push(`${(at / 1.8).toFixed(2)},${(100 - (100 * Math.min(up, top)) / top).toFixed(2)}`);
    }
    this.over.querySelector('polyline').setAttribute('points', points.length ? drawn.join(' ') : '');
  }

  // Where a pointer is, as bearing and height.
  under({ clientX, clientY }) {
    const { middle, reach, top } = this.frame(), box = this.over.getBoundingClientRect();
    const share = (value) => Math.min(1, Math.max(0, value));
    const turned = (2 * share((clientX - box.left) / box.width) - 1) * reach;
    return [Math.round(turned + middle + 360) % 360, half(top * (1 - share((clientY - box.top) / box.height)))];
  }

  press(event) {
    if (event.button) return;
    event.preventDefault();
    const points = read(this.field), handle = event.target.closest('button');
    let at = handle ? Number(handle.dataset.at) : null;
    let rest = points.filter(([bearing]) => bearing !== at), point = points.find(([bearing]) => bearing === at);
    if (!point) {
      point = this.under(event);
      // The first point is a hill and not a valley: one point alone would be a horizon all around.
      if (!points.length) rest = [-15, 15].map((by) => [(point[0] + by + 360) % 360, 0]);
      rest = rest.filter(([bearing]) => bearing !== point[0]);
    }
    const one = handle ?? this.over.appendChild(document.createElement('button'));
    this.dragged = one;
    const show = () => { this.place(one, point); this.line([...rest, point]); };
    show();
    this.over.setPointerCapture(event.pointerId);
    const far = ({ clientX, clientY }) => Math.hypot(clientX - event.clientX, clientY - event.clientY) > 3;
    let dragging = false;
    const move = (moved) => {
      dragging ||= far(moved);
      const wish = this.under(moved);
      if (dragging && !rest.some(([bearing]) => bearing === wish[0])) point = wish;
      show();
    };
    const end = (ended) => {
      this.over.removeEventListener('pointermove', move);
      for (const name of ['pointerup', 'pointercancel']) this.over.removeEventListener(name, end);
      // A quick hand is let go of before it was seen to move.
      if (ended.type === 'pointerup') move(ended);
      this.dragged = null;
      if (!handle) one.remove();
      if (ended.type === 'pointerup' && (dragging || !handle)) write(this.field, [...rest, point]);
      this.draw();
      this.over.querySelector(`[data-at="${point[0]}"]`)?.focus();
    };
    this.over.addEventListener('pointermove', move);
    for (const name of ['pointerup', 'pointercancel']) this.over.addEventListener(name, end);
  }

  key(event, one) {
    const step = event.shiftKey ? 5 : 1;
    const by = { ArrowUp: [0, step / 2], ArrowDown: [0, -step / 2], ArrowLeft: [-step, 0], ArrowRight: [step, 0] }[event.key];
    const gone = event.key === 'Delete' || event.key === 'Backspace';
    if (!by && !gone) return;
    event.preventDefault();
    const at = Number(one.dataset.at), points = read(this.field), rest = points.filter(([bearing]) => bearing !== at);
    const up = points.find(([bearing]) => bearing === at)?.[1] ?? 0;
    const point = by && [(at + by[0] + 360) % 360, Math.min(90, Math.max(0, up + by[1]))];
    if (point && rest.some(([bearing]) => bearing === point[0])) return;
    write(this.field, point ? [...rest, point] : rest);
    this.draw();
    (this.over.querySelector(`[data-at="${point?.[0]}"]`) ?? this.over.querySelector('button') ?? this.field).focus();
  }
}

const sheets = [...document.querySelectorAll('.drawable')].flatMap((box) => ids.map((form) => new Sheet(box, form)));
const draw = () => sheets.forEach((sheet) => sheet.draw());
document.addEventListener('put', draw);
document.addEventListener('toggle', draw, true);
document.addEventListener('input', ({ target }) => target.matches('input[data-line]') && draw());
