// Draws the explorer from the spec document; nothing is asked of any other origin.
const dark = matchMedia("(prefers-color-scheme: dark)");
const follow = () => document.documentElement.classList.toggle("dark-mode", dark.matches);
dark.addEventListener("change", follow);
follow();

SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#explorer",
  validatorUrl: null,
  docExpansion: "list",
  defaultModelsExpandDepth: -1,
  tryItOutEnabled: true,
  supportedSubmitMethods: ["get", "post"],
});
