/** What is shown, as the part of the address after "#/". */
export type Route =
    | { view: "start" | "bench" | "text" | "wiring" | "fault" | "sheets" | "merge" }
    | { view: "link"; link: string }
    | { view: "parts"; type: string | null };

const plain = ["bench", "text", "wiring", "fault", "sheets", "merge"] as const;

export function route_of(hash: string): Route {
    const [view = "", ...rest] = hash.replace(/^#\/?/, "").split("/");
    let name = rest.join("/");
    try {
        name = decodeURIComponent(name);
    } catch {
        /* a lone %: shown as it is */
    }
    if (view === "link" && name) return { view, link: name };
    if (view === "parts") return { view, type: name || null };
    const found = plain.find((p) => p === view);
    return { view: found ?? "start" };
}

export function hash_of(route: Route): string {
    if (route.view === "link") return `#/link/${encodeURIComponent(route.link)}`;
    if (route.view === "parts") return route.type ? `#/parts/${encodeURIComponent(route.type)}` : "#/parts";
    return route.view === "start" ? "#/" : `#/${route.view}`;
}
