"""Live sheets: a plant's drawings, findings and text in a browser, served on this machine alone or written as static pages."""
