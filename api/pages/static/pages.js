/* What the style cannot do: tell assistive technology which fields are at fault now, and that the service is away. */
(function () {
  "use strict";
  function marked() {
    document.querySelectorAll(".field").forEach(function (field) {
      var fault = field.querySelector(".fault"), input = field.querySelector("input, select, textarea");
      if (!fault || !input) { return; }
      if (fault.textContent.trim()) { input.setAttribute("aria-invalid", "true"); }
      else { input.removeAttribute("aria-invalid"); }
    });
  }
  function away(hidden) {
    var told = document.getElementById("offline");
    if (told) { told.hidden = hidden; }
  }
  document.addEventListener("htmx:afterSettle", marked);
  document.addEventListener("htmx:sendError", function () { away(false); });
  document.addEventListener("htmx:afterRequest", function (event) {
    if (event.detail.successful) {
      away(true);
      var trouble = document.getElementById("trouble");
      if (trouble) { trouble.textContent = ""; }
    }
  });
}());
