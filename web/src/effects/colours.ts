/** The colours of the page, by the system or by choice. */
import type { Theme } from "../model/state";
import { keep, kept } from "./kept";
import type { Effect } from "./store";

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
