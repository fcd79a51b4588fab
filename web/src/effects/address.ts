/** The address of the page and what is shown follow each other. */
import type { Following, Held } from "./held";

export function following_the_address<R, S extends { route: R }, A>(
    store: Held<S, A>,
    { route_of, hash_of, go }: { route_of: (hash: string) => R; hash_of: (route: R) => string; go: (route: R) => A },
): Following<S, A> {
    addEventListener("hashchange", () => {
        if (hash_of(store.state.route) !== location.hash) store.dispatch(go(route_of(location.hash)));
    });
    store.dispatch(go(route_of(location.hash)));
    return (_action, before, after) => {
        if (before.route !== after.route && hash_of(after.route) !== location.hash)
            location.hash = hash_of(after.route);
    };
}
