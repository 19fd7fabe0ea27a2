/** On every page: says on the button of a comparison how many packs are chosen for it. */
const MIN_COMPARED = 2;

for (const form of document.querySelectorAll<HTMLFormElement>('form[action="/compare"]:has(input[type=checkbox])')) {
  const button = form.querySelector("button");
  const update = () => {
    const chosen = form.querySelectorAll("input[name=pack]:checked").length;
    if (button) button.textContent = chosen < MIN_COMPARED ? "Compare the chosen packs" : `Compare ${chosen} packs`;
  };
  form.addEventListener("change", update);
  update();
}
