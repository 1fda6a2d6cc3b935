// Unpacks the scripts and runs them, and says so where a browser cannot.
(async () => {
  const source = document.createElement("script");
  source.text = await unpacked(document.getElementById("scripts").textContent.trim()).text();
  document.head.append(source);
})().catch((error) => {
  document.getElementById("told").textContent = `This browser cannot run the page; what stands here is the report. (${error.message})`;
  document.body.dataset.ready = "failed";
});
