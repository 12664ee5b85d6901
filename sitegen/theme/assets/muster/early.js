/* Runs before the page is drawn, so that units and colours do not change before the reader's eyes. */
(function () {
  "use strict";
  var root = document.documentElement;
  function remembered(key) {
    try { return localStorage.getItem("drogue-muster." + key); } catch (error) { return null; }
  }
  var units = remembered("units") === "us" ? "us" : "metric";
  var scheme = remembered("scheme");
  if (scheme !== "dark" && scheme !== "light") {
    scheme = matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
  }
  root.classList.remove("no-js");
  root.classList.add("js", "u-" + units);
  root.setAttribute("data-units", units);
  root.setAttribute("data-md-color-scheme", scheme === "dark" ? "slate" : "default");
})();
