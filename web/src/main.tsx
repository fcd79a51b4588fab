import { render } from "preact";

const root = document.getElementById("page");
if (root) render(<main><h1>Voltsill</h1></main>, root);
