"""The line figure: a pose's named points drawn in ink as SVG, for print. Points in, picture out; no body model."""
