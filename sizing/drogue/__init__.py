"""What a boat needs: one module a topic, one function a formula; `size` puts them together for a fleet."""
