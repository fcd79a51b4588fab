/** The address, the colours and the storage of choices: what the page does to the browser around it. */
import type { Theme } from "../model/state";
import { hash_of, route_of } from "../model/routes";
import { keep, kept } from "./kept";
import type { Effect, Store } from "./store";

const theme_key = "voltsill colours";
const dark = "(prefers-color-scheme: dark)";

/** Rules for dark paper apply by the system's wish; a choice of one's own puts "all" or "not all" in its place. */
function apply(theme: Theme) {
    const condition = theme === "auto" ? dark : theme === "dark" ? "all" : "not all";
    for (const sheet of document.styleSheets)
        for (const rule of sheet.cssRules)
            if (rule instanceof CSSMediaRule && (dark_rules.has(rule) || rule.media.mediaText === dark)) {
                dark_rules.add(rule);
                rule.media.mediaText = condition;
            }
    document.documentElement.style.colorScheme = theme === "auto" ? "light dark" : theme;
}
const dark_rules = new WeakSet<CSSRule>();

export function stored_theme(): Theme {
    const theme = kept(theme_key);
    return theme === "light" || theme === "dark" ? theme : "auto";
}

export function coloring(): Effect {
    return (action) => {
        if (action.do !== "theme") return;
        apply(action.theme);
        keep(theme_key, action.theme);
    };
}

export function following_the_address(store: Store): Effect {
    addEventListener("hashchange", () => {
        if (hash_of(store.state.route) !== location.hash) store.dispatch({ do: "go", route: route_of(location.hash) });
    });
    return (_action, before, after) => {
        if (before.route !== after.route && hash_of(after.route) !== location.hash)
            location.hash = hash_of(after.route);
    };
}
