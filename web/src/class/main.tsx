/** The learners' page, for phones: nothing of the maker's page is loaded. */
import { render } from "preact";
import { Held } from "../effects/held";
import { App } from "./app";
import { entering, following_the_address, hearing, hinting, keeping, sending } from "./effects";
import { reduce, type Action } from "./reducer";
import { initial, type State } from "./state";

const root = document.getElementById("page")!;
const store = new Held<State, Action>(reduce, initial, (s, dispatch) =>
    render(<App s={s} dispatch={dispatch} />, root),
);
store.add(
    following_the_address(store),
    entering(store),
    hearing(store),
    sending(store),
    hinting(store),
    keeping(store),
);
render(<App s={store.state} dispatch={store.dispatch} />, root);
