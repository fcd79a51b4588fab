import { render } from "preact";
import { following_the_address } from "./effects/address";
import { get, trouble } from "./effects/api";
import { building, checking, diagnosing, planning, printing, tracing } from "./effects/computing";
import { downloading } from "./effects/downloads";
import { editing } from "./effects/editing";
import { keeping_focus } from "./effects/focus";
import { keeping, opening, saving, watching } from "./effects/files";
import { coloring, stored_theme } from "./effects/colours";
import { finding_parts, knowing_types } from "./effects/parts";
import { keeping_readings } from "./effects/readings";
import { Store } from "./effects/store";
import type { About } from "./model/answers";
import { hash_of, route_of } from "./model/routes";
import { App } from "./views/app";

const root = document.getElementById("page")!;
const store = new Store((s, dispatch) => render(<App s={s} dispatch={dispatch} />, root));
store.add(
    coloring(),
    opening(store),
    saving(store),
    watching(store),
    keeping(store),
    editing(store),
    finding_parts(store),
    knowing_types(store),
    checking(store),
    planning(store),
    building(store),
    tracing(store),
    printing(store),
    diagnosing(store),
    keeping_readings(store),
    downloading(store),
);

store.add(following_the_address(store, { route_of, hash_of, go: (route) => ({ do: "go", route }) }));
keeping_focus(root);
store.dispatch({ do: "theme", theme: stored_theme() });
get<About>("/api/about").then(
    (about) => store.dispatch({ do: "about", about }),
    (error: unknown) => store.dispatch({ do: "notice", words: trouble(error) ?? "", bad: true }),
);
