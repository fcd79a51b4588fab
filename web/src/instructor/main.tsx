/** The instructor's page: the room, live. */
import { render } from "preact";
import { following_the_address } from "../effects/address";
import { Held } from "../effects/held";
import { App } from "./app";
import { asking, doing, entering, hearing, keeping_time, looking } from "./effects";
import { reduce, type Action } from "./reducer";
import { hash_of, initial, route_of, type State } from "./state";

const root = document.getElementById("page")!;
const store = new Held<State, Action>(reduce, initial, (s, dispatch) =>
    render(<App s={s} dispatch={dispatch} />, root),
);
store.add(
    following_the_address(store, { route_of, hash_of, go: (route) => ({ do: "go", route }) }),
    keeping_time(store),
    entering(store),
    hearing(store),
    asking(store),
    doing(store),
    looking(store),
);
render(<App s={store.state} dispatch={store.dispatch} />, root);
