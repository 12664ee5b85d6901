"use strict";
// Everything is served from here; the outside validator that the reader would ask is switched off.
SwaggerUIBundle({
  url: "../openapi.json",
  dom_id: "#description",
  deepLinking: true,
  validatorUrl: null,
  queryConfigEnabled: false,
});
