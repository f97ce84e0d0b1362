// The first version of each cell that has none of the ticked cautions; nothing is stored.
const ways = JSON.parse(document.getElementById("ways").textContent);
const from = { "as led": "", "offered": "offered in class", "same ladder": "ask the leader before", "another move": "ask the leader before" };

function show() {
  const avoid = new Set([...document.querySelectorAll("input[name=avoid]:checked")].map((box) => box.value));
  const first = document.getElementById("first-time").checked;
  document.querySelectorAll("[data-way]").forEach((row) => {
    const way = ways[Number(row.dataset.way)];
    const one = way[first ? "first" : "versions"].find((each) => !each.avoid.some((caution) => avoid.has(caution)));
    const words = one ? one.name : "No version without it here: march, or rest.";
    row.querySelector(".version").textContent = first && way.rests && one ? `Rest, or ${words}` : words;
    row.querySelector(".from").textContent = one ? from[one.source] : "tell the leader";
    row.classList.toggle("other", !one || one.source !== "as led");
  });
  const count = document.querySelectorAll(".other").length;
  document.getElementById("count").textContent = avoid.size || first
    ? `${count} of ${ways.length} sets in another version.`
    : "All as led.";
  const agreed = document.getElementById("consent").checked, shown = document.getElementById("shown");
  const who = `${first ? "First time. " : ""}${avoid.size ? `Avoids: ${[...avoid].join(", ")}.` : "Avoids nothing."}`;
  const words = avoid.size || first ? `${who} ${document.getElementById("count").textContent}` : who;
  shown.hidden = !agreed;
  shown.textContent = agreed ? words : "";
}
for (const each of ["consent", "first-time"]) document.getElementById(each).addEventListener("change", show);

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
