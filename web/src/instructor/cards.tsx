/** A table whose rows become cards on a narrow screen (style/paper.css); the roles stand here because there its cells
 *  are none to the eye. */
import type { ComponentChildren } from "preact";
import { Scroll } from "../views/pieces";

export interface Column {
    words: string;
    right?: boolean;
    mono?: boolean;
    wide?: boolean;
}

/** The first cell names its row. */
export interface CardRow {
    key: string | number;
    cells: ComponentChildren[];
}

const looks = (c: Column) => [c.right && "right", c.mono && "mono", c.wide && "wide"].filter(Boolean).join(" ");

export function Cards({
    label,
    caption,
    columns,
    rows,
}: {
    label: string;
    caption?: string;
    columns: Column[];
    rows: CardRow[];
}) {
    return (
        <Scroll label={label}>
            <table role="table" class="cards">
                {caption && <caption>{caption}</caption>}
                <thead role="rowgroup">
                    <tr role="row">
                        {columns.map((c) => (
                            <th key={c.words} role="columnheader" scope="col" class={c.right ? "right" : ""}>
                                {c.words}
                            </th>
                        ))}
                    </tr>
                </thead>
                <tbody role="rowgroup">
                    {rows.map(({ key, cells: [name, ...cells] }) => (
                        <tr role="row" key={key}>
                            <th role="rowheader" scope="row" class={looks(columns[0]!)}>
                                {name}
                            </th>
                            {cells.map((cell, k) => (
                                <td
                                    key={k}
                                    role="cell"
                                    class={looks(columns[k + 1]!)}
                                    data-label={columns[k + 1]!.words}>
                                    {cell}
                                </td>
                            ))}
                        </tr>
                    ))}
                </tbody>
            </table>
        </Scroll>
    );
}
