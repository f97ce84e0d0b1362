// The first version of each cell that has none of the ticked cautions; nothing is stored.
const ways = JSON.parse(document.getElementById("ways").textContent);
const from = { "as led": "", "offered": "offered in class", "same ladder": "ask the leader before", "another move": "ask the leader before" };

function show() {
  const avoid = new Set([...document.querySelectorAll("input[name=avoid]:checked")].map((box) => box.value));
  document.querySelectorAll("[data-way]").forEach((row) => {
    const way = ways[Number(row.dataset.way)];
    const one = way.versions.find((each) => !each.avoid.some((caution) => avoid.has(caution)));
    row.querySelector(".version").textContent = one ? one.name : "No version without it here: march, or rest.";
    row.querySelector(".from").textContent = one ? from[one.source] : "tell the leader";
    row.classList.toggle("other", !one || one.source !== "as led");
  });
  const count = document.querySelectorAll(".other").length;
  document.getElementById("count").textContent = avoid.size
    ? `${count} of ${ways.length} sets in another version.`
    : "All as led.";
  const agreed = document.getElementById("consent").checked, shown = document.getElementById("shown");
  const words = avoid.size ? `Avoids: ${[...avoid].join(", ")}. ${document.getElementById("count").textContent}` : "Avoids nothing.";
  shown.hidden = !agreed;
  shown.textContent = agreed ? words : "";
}
document.getElementById("consent").addEventListener("change", show);

document.addEventListener("change", (event) => {
  if (event.target.name !== "avoid") return;
  document.querySelectorAll("input[name=avoid]").forEach((box) => {
    if (box.value === event.target.value) box.checked = event.target.checked;
  });
  show();
});
document.getElementById("clear").addEventListener("click", () => {
  document.querySelectorAll("input:checked").forEach((box) => { box.checked = false; });
  show();
});
show();
