/* A box to sign in with a finger, a pen or a mouse. What is sent are the strokes, as whole numbers in the units of the
   box. Without this the box stays hidden, and the name is typed and ticked. */
(() => {
  "use strict";

  const NEAR = 3; // units; points closer than this to the one before tell nothing

  const begin = (pad) => {
    const { wide, high, strokes: mostStrokes, points: mostPoints } = pad.dataset;
    const box = { wide: Number(wide), high: Number(high) };
    const canvas = pad.querySelector("canvas");
    const sent = pad.querySelector("input[type=hidden]");
    const says = pad.querySelector("[role=status]");
    const undo = pad.querySelector("[data-undo]");
    const clear = pad.querySelector("[data-clear]");
    const brush = canvas.getContext("2d");
    let strokes = [];
    let stroke = null; // the one being drawn

    try {
      const before = JSON.parse(sent.value || "[]");
      if (Array.isArray(before) && before.every(Array.isArray)) strokes = before;
    } catch {
      strokes = [];
    }

    const points = () => strokes.reduce((sum, one) => sum + one.length / 2, 0);
    const full = () => strokes.length >= Number(mostStrokes) || points() >= Number(mostPoints);

    const draw = () => {
      const scale = canvas.width / box.wide;
      brush.setTransform(scale, 0, 0, scale, 0, 0);
      brush.clearRect(0, 0, box.wide, box.high);
      brush.strokeStyle = getComputedStyle(canvas).color;
      brush.lineWidth = 5;
      brush.lineCap = brush.lineJoin = "round";
      for (const one of strokes) {
        brush.beginPath();
        brush.moveTo(one[0], one[1]);
        for (let at = one.length > 2 ? 2 : 0; at < one.length; at += 2) brush.lineTo(one[at], one[at + 1]);
        brush.stroke();
      }
    };

    const fit = () => {
      const sharp = window.devicePixelRatio || 1;
      canvas.width = Math.max(1, Math.round(canvas.clientWidth * sharp));
      canvas.height = Math.max(1, Math.round(canvas.clientHeight * sharp));
      draw();
    };

    const show = () => {
      sent.value = strokes.length ? JSON.stringify(strokes) : "";
      undo.disabled = clear.disabled = !strokes.length;
      says.textContent = full() ? pad.dataset.full : strokes.length ? pad.dataset.drawn : pad.dataset.empty;
      draw();
    };

    const place = (event) => {
      const edge = canvas.getBoundingClientRect();
      const inside = (part, of) => Math.round(Math.min(1, Math.max(0, part)) * of);
      return [
        inside((event.clientX - edge.left - canvas.clientLeft) / canvas.clientWidth, box.wide),
        inside((event.clientY - edge.top - canvas.clientTop) / canvas.clientHeight, box.high),
      ];
    };

    const add = (event) => {
      const [x, y] = place(event);
      const near =
        stroke.length &&
        Math.abs(x - stroke[stroke.length - 2]) < NEAR &&
        Math.abs(y - stroke[stroke.length - 1]) < NEAR;
      if (!near && points() < Number(mostPoints)) stroke.push(x, y);
    };

    canvas.addEventListener("pointerdown", (event) => {
      if (stroke || full() || !event.isPrimary || event.button !== 0) return;
      event.preventDefault();
      canvas.setPointerCapture(event.pointerId);
      stroke = [];
      strokes.push(stroke);
      add(event);
      draw();
    });
    canvas.addEventListener("pointermove", (event) => {
      if (!stroke || !event.isPrimary) return;
      const passed = event.getCoalescedEvents ? event.getCoalescedEvents() : [];
      for (const one of passed.length ? passed : [event]) add(one);
      draw();
    });
    const end = (event) => {
      if (!stroke || !event.isPrimary) return;
      stroke = null;
      show();
    };
    canvas.addEventListener("pointerup", end);
    canvas.addEventListener("pointercancel", end);

    undo.addEventListener("click", () => {
      strokes.pop();
      show();
    });
    clear.addEventListener("click", () => {
      strokes = [];
      show();
    });

    pad.hidden = false;
    pad.parentElement.querySelector("[data-no-script]").hidden = true;
    new ResizeObserver(fit).observe(canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
    show();
  };

  document.querySelectorAll("[data-sign]").forEach(begin);
})();
