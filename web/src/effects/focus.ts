/** What has the focus may go with what was done: a row that is removed, a button that is pressed once. The keyboard
 *  then stays where it was, on what took its place or on the heading above, instead of falling back to the top. */

const reachable = "a[href], button:not([disabled]), input, select, textarea, summary, [tabindex='0']";

interface Place {
    parent: Element;
    at: number;
}

/** From the inside out. */
function places_of(element: Element): Place[] {
    const places: Place[] = [];
    for (let e = element; e.parentElement; e = e.parentElement)
        places.push({ parent: e.parentElement, at: [...e.parentElement.children].indexOf(e) });
    return places;
}

function made_focusable(e: HTMLElement | null | undefined): HTMLElement | null {
    if (!e) return null;
    if (!e.matches(reachable)) e.tabIndex = -1;
    return e;
}

/** The row that took the place of one that went, the row whose button went, or the heading of the section. */
function instead(places: Place[]): HTMLElement | null {
    const left = places.find((p) => p.parent.isConnected);
    if (!left) return made_focusable(document.querySelector<HTMLElement>("main h1"));
    const row = left.parent.closest<HTMLElement>("tr, li");
    if (row) return row.querySelector<HTMLElement>(reachable) ?? made_focusable(row);
    if (left.parent.matches("ul, ol, tbody")) {
        const next = left.parent.children[Math.min(left.at, left.parent.children.length - 1)];
        const inside = next?.querySelector<HTMLElement>(reachable);
        if (inside) return inside;
    }
    const section = left.parent.closest("section, main");
    return made_focusable((section ?? document.querySelector("main"))?.querySelector<HTMLElement>("h1, h2"));
}

export function keeping_focus(root: HTMLElement) {
    let places: Place[] = [];
    let last: HTMLElement | null = null;
    root.addEventListener("focusin", (e) => {
        last = e.target as HTMLElement;
        places = places_of(last);
    });
    // Whoever presses beside everything lets go of it.
    root.addEventListener("pointerdown", () => (last = null));
    new MutationObserver(() => {
        if (!last || document.activeElement !== document.body) return;
        const lost = last;
        last = null;
        lost.focus(); // a row that only moved takes it again
        if (document.activeElement === lost) return;
        const beside = lost.isConnected ? lost.parentElement?.querySelector<HTMLElement>(reachable) : null;
        (beside ?? instead(places))?.focus();
    }).observe(root, { childList: true, subtree: true });
}
