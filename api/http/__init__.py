"""The HTTP interface. `app` puts it together; one module for each noun holds its routes."""
