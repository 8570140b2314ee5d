// A button beside each example that copies it, and forms that leave empty fields out of the address.
const SHOWN = 2000; // milliseconds that "Copied" stays

/** Select the text, for browsers that let no page write to the clipboard. */
const select = (block) => getSelection().selectAllChildren(block);

for (const figure of document.querySelectorAll("figure.code")) {
  const block = figure.querySelector("code");
  const button = document.createElement("button");
  const name = figure.querySelector("h3").textContent;
  const label = (text) => {
    button.textContent = text;
    button.setAttribute("aria-label", `${text}: ${name}`);
  };
  button.type = "button";
  label("Copy");
  button.addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(block.textContent);
      label("Copied");
    } catch {
      select(block);
      label("Selected");
    }
    setTimeout(label, SHOWN, "Copy");
  });
  figure.querySelector("figcaption").append(button);
}

for (const form of document.querySelectorAll("form.try")) {
  form.addEventListener("formdata", ({ formData }) => {
    for (const [name, value] of [...formData]) if (!value) formData.delete(name);
  });
}
