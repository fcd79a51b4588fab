/** A drawing of the core. Its markup is parsed, and only what a drawing consists of is built anew: the policy of
 *  the page forbids style attributes, so the few that drawings have are set as properties. */
import { useLayoutEffect, useRef } from "preact/hooks";

const svg_names = "http://www.w3.org/2000/svg";
const elements = new Set(
    "svg g path circle rect text tspan title desc defs pattern line polyline polygon ellipse".split(" "),
);
const attributes = new Set(
    (
        "class id role d points x y x1 y1 x2 y2 cx cy r rx ry width height viewBox transform patternUnits " +
        "fill stroke text-anchor font-size"
    ).split(" "),
);
const families = /^(stroke|aria|data)-[a-z-]+$/;
const properties = /^(--(fill|stroke)-volts|max-width|min-width)$/;

/** A style attribute under this name does not trouble the policy while it is parsed. */
export const waiting_style = "data-waiting-style";

let drawn = 0;

function style(to: SVGElement, text: string) {
    for (const declaration of text.split(";")) {
        const colon = declaration.indexOf(":");
        const name = declaration.slice(0, colon).trim();
        if (colon > 0 && properties.test(name)) to.style.setProperty(name, declaration.slice(colon + 1).trim());
    }
}

function rebuilt(from: Element, id: string): SVGElement | null {
    if (from.namespaceURI !== svg_names || !elements.has(from.localName)) return null;
    const to = document.createElementNS(svg_names, from.localName);
    for (const { name, value } of from.attributes) {
        if (name === waiting_style) style(to, value);
        else if ((attributes.has(name) || families.test(name)) && !/url\((?!#)/.test(value))
            to.setAttribute(name, value.replaceAll(/\bdrawing-(?=\d)/g, id));
    }
    for (const child of from.childNodes) {
        if (child.nodeType === Node.TEXT_NODE) to.append(child.nodeValue ?? "");
        const inside = child instanceof Element ? rebuilt(child, id) : null;
        if (inside) to.append(inside);
    }
    return to;
}

export function drawing(svg: string): SVGElement | null {
    const parsed = new DOMParser().parseFromString(svg.replaceAll(' style="', ` ${waiting_style}="`), "image/svg+xml");
    return parsed.querySelector("parsererror") ? null : rebuilt(parsed.documentElement, `drawn-${++drawn}-`);
}

interface Props {
    svg: string;
    class?: string;
    /** What the page adds to the drawing once it is there; what it gives back is run when the drawing goes. */
    ready?: (svg: SVGElement) => void | (() => void);
    /** A drawing with things to press is a group, not one picture. */
    active?: boolean;
}
export function Drawing({ svg, class: name = "", ready, active = false }: Props) {
    const place = useRef<HTMLDivElement>(null);
    useLayoutEffect(() => {
        const made = drawing(svg);
        if (!made || !place.current) return;
        if (active) made.setAttribute("role", "group");
        place.current.replaceChildren(made);
        const box = place.current;
        const wide = () => {
            if (box.scrollWidth > box.clientWidth + 1) box.tabIndex = 0;
            else box.removeAttribute("tabindex");
        };
        const watch = new ResizeObserver(wide);
        watch.observe(box);
        const undo = ready?.(made);
        return () => {
            watch.disconnect();
            undo?.();
        };
    }, [svg]);
    return (
        <div
            class={`drawn ${name}`}
            ref={place}
            role={active ? undefined : "group"}
            aria-label={active ? undefined : "drawing"}
        />
    );
}

/** A drawing that is wider than its place is moved sideways until this stands in the middle. */
export function bring_in(of: SVGElement | null) {
    const box = of?.closest(".drawn");
    if (!of || !box) return;
    const at = of.getBoundingClientRect();
    const seen = box.getBoundingClientRect();
    box.scrollLeft += at.left + at.width / 2 - (seen.left + seen.width / 2);
}

/** Makes groups of a drawing pressable by mouse and keyboard; `to` gives the words and what follows, or null. */
export function pressable(
    svg: SVGElement,
    selector: string,
    to: (group: SVGElement) => { words: string; act: () => void } | null,
) {
    for (const group of svg.querySelectorAll<SVGElement>(selector)) {
        const press = to(group);
        if (!press) continue;
        group.setAttribute("tabindex", "0");
        group.setAttribute("role", "button");
        group.setAttribute("aria-label", press.words);
        group.classList.add("pressable");
        group.addEventListener("click", press.act);
        group.addEventListener("keydown", (e) => {
            if (e.key !== "Enter" && e.key !== " ") return;
            e.preventDefault();
            press.act();
        });
    }
}
