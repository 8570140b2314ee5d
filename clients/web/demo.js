// The workshop's own use of the answers.
document.addEventListener("gearing-answer", ({ detail }) => {
  const ratio = detail.answers["final-drive"]?.result.restoring_ratio;
  if (ratio) document.querySelector("#ask").value = ratio.toFixed(2);
});
