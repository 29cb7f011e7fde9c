/* What the pages at the bench do quicker with a script; all of it also works without. */
(function () {
  "use strict";

  /* A search's page: look at the server's own words whenever there is news. */
  document.querySelectorAll("[data-news]").forEach(function (place) {
    if (!window.EventSource || !window.htmx) { return; }
    var source = new EventSource(place.dataset.news);
    ["queued", "running", "progress", "done", "failed", "cancelled"].forEach(function (kind) {
      source.addEventListener(kind, function () {
        htmx.trigger(place, "news");
        if (kind === "done" || kind === "failed" || kind === "cancelled") { source.close(); }
      });
    });
  });

  /* The saw's page: say it when a tick did not reach the server. A tick is shown by the server's answer alone. */
  var told = document.getElementById("unreached");
  if (!told) { return; }
  var lost = false;  /* whether a tick of this phone did not arrive; said until one does */
  function tell(words) { told.textContent = words; told.hidden = false; }
  function isTick(event) { return event.detail.requestConfig && event.detail.requestConfig.verb === "post"; }
  ["htmx:sendError", "htmx:timeout", "htmx:responseError"].forEach(function (name) {
    document.body.addEventListener(name, function (event) {
      if (isTick(event)) {
        lost = true;
        tell(name === "htmx:responseError"
          ? "The server did not keep that: nothing was ticked. Load this page again."
          : "That did not reach the server: nothing was ticked. Tap again once there is a connection.");
      } else if (!lost) {
        tell("No answer from the server. What you see is what was kept last; new ticks may not arrive.");
      }
    });
  });
  window.addEventListener("offline", function () {
    if (!lost) { tell("No connection. What you see is what was kept last; a tick would not arrive."); }
  });
  document.body.addEventListener("htmx:afterOnLoad", function (event) {
    if (event.detail.xhr.status >= 400 || (lost && !isTick(event))) { return; }
    lost = false;
    told.hidden = true;
    told.textContent = "";
  });
}());
