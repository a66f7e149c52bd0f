// Tapping a part of the drawn vehicle ticks its box, and the other way round. Without this the boxes work alone.
(() => {
  const drawing = document.querySelector(".damage .outline");
  if (!drawing) return;
  const box = (part) => document.querySelector(`input[name="zones"][value="${part.dataset.zone}"]`);
  const parts = [...drawing.querySelectorAll("[data-zone]")];
  const show = () => parts.forEach((part) => part.classList.toggle("marked", box(part).checked));
  parts.forEach((part) => {
    part.classList.add("live");
    part.addEventListener("click", () => {
      box(part).checked = !box(part).checked;
      show();
    });
  });
  document.querySelectorAll('input[name="zones"]').forEach((tick) => tick.addEventListener("change", show));
  document.querySelector(".damage .in-words").open = false;
  show();
})();
