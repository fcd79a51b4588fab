/** What has the focus may go away while somebody works with it: a reading that was right closes its field, a gate that
 *  is passed closes its list. Then the focus goes where the next thing is asked, and not to the top of the page. */
import type { RefObject } from "preact";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";

/** Where the focus was: the element, and what it stood in, innermost first. */
export interface Lost {
    inside: HTMLElement[];
}

/** An element that is no control can have the focus too, once. */
export function focus_on(place: HTMLElement | null | undefined) {
    if (!place) return;
    if (place.tabIndex < 0) place.tabIndex = -1;
    place.focus();
}

/** The heading of the nearest section that is still there. */
export function heading_near({ inside }: Lost): HTMLElement | null {
    const section = inside.find((e) => e.isConnected && e.matches("section[aria-labelledby]"));
    return section ? document.getElementById(section.getAttribute("aria-labelledby")!) : null;
}

/** After every rendering: what stands in `main`, had the focus and is no more is made up for by `next`. */
export function useKeptFocus(main: RefObject<HTMLElement | null>, next: (lost: Lost) => HTMLElement | null) {
    const last = useRef<Lost | null>(null);
    useEffect(() => {
        const keep = ({ target }: FocusEvent) => {
            last.current = null;
            if (!(target instanceof HTMLElement) || !main.current?.contains(target)) return;
            const inside: HTMLElement[] = [];
            for (let e: HTMLElement | null = target; e && e !== main.current; e = e.parentElement) inside.push(e);
            last.current = { inside };
        };
        document.addEventListener("focusin", keep);
        return () => document.removeEventListener("focusin", keep);
    }, []);
    useLayoutEffect(() => {
        const lost = last.current;
        const anywhere = document.activeElement && document.activeElement !== document.body;
        if (!lost || anywhere || lost.inside.length === 0 || lost.inside[0]!.isConnected) return;
        last.current = null;
        focus_on(next(lost) ?? main.current);
    });
}
