/** A stream of events as the server sends it, piece by piece. */
export interface StreamEvent {
    name: string;
    data: unknown;
}

/** Splits a stream of events (HTML standard, 9.2.6) at its blank lines; keeps the unfinished rest. */
export function events_in(text: string): { events: StreamEvent[]; rest: string } {
    const blocks = text.replaceAll("\r\n", "\n").split("\n\n");
    const rest = blocks.pop() ?? "";
    const events: StreamEvent[] = [];
    for (const block of blocks) {
        let name = "message";
        const data: string[] = [];
        for (const line of block.split("\n")) {
            if (line.startsWith("event:")) name = line.slice(6).trim();
            if (line.startsWith("data:")) data.push(line.slice(5).replace(/^ /, ""));
        }
        if (data.length || name !== "message")
            events.push({ name, data: data.length ? (JSON.parse(data.join("\n")) as unknown) : null });
    }
    return { events, rest };
}
