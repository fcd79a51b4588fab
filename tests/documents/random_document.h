#pragma once
/// Documents with a block of every kind, full of what users might type (support/random_text.h).
#include <rapidcheck.h>

#include "documents/document.h"
#include "support/random_drawing.h"
#include "support/random_text.h"

namespace voltsill::doc {

inline rc::Gen<Text> random_runs() {
    return rc::gen::map(rc::gen::container<std::vector<std::pair<std::string, int>>>(
                            rc::gen::pair(random_text(), rc::gen::inRange(0, 5))),
                        [](const std::vector<std::pair<std::string, int>>& all) {
                            Text text;
                            for (const auto& [words, face] : all)
                                text.emplace_back(words, static_cast<Face>(face));
                            return text;
                        });
}

/// One block of every kind, filled at random.
inline rc::Gen<Document> random_document() {
    return rc::gen::exec([] {
        const auto words = [] { return *random_text(); };
        const auto text = [] { return *random_runs(); };
        const auto volts = [] { return *rc::gen::inRange(-100, 3600) * 0.01; };
        Document d{words(), {}};
        d.blocks.push_back(heading(*rc::gen::inRange(2, 7), text(), "a1"));
        d.blocks.push_back(paragraph(text()));
        d.blocks.push_back(BulletList{{text(), text()}});
        d.blocks.push_back(Definitions{{{text(), text()}}});
        Table table{.caption = words(),
                    .columns = {{words()}, {words(), Align::right, false}, {words(), Align::center}}};
        for (int k = *rc::gen::inRange(0, 4); k > 0; --k) table.rows.push_back({text(), text(), text()});
        d.blocks.push_back(table);
        d.blocks.push_back(arithmetic(words()));
        d.blocks.push_back(Caution{words(), {text()}});
        d.blocks.push_back(Picture{*drawing::random_drawing(), words()});
        d.blocks.push_back(
            Steps{{{text(), text()}, {text(), {}}}, *rc::gen::arbitrary<bool>(), *rc::gen::inRange(0, 99)});
        d.blocks.push_back(PageBreak{});
        ChartRow row{.group = words(),
                     .point = words(),
                     .bands = {{false, 0, volts(), volts()}, {true, volts(), volts(), volts()}},
                     .low_threshold = volts(),
                     .high_threshold = volts(),
                     .limit_min = volts(),
                     .limit_max = volts(),
                     .supply = volts()};
        d.blocks.push_back(LevelChart{words(), {row, {.group = {}, .point = words(), .bands = {}}}});
        WaveRow wave{.point = words(), .note = words()};
        double seconds = 0;
        for (int k = *rc::gen::inRange(0, 12); k > 0; --k) {
            wave.nominal.seconds.push_back(seconds += *rc::gen::inRange(0, 5) * 1e-7);
            wave.nominal.volts.push_back(volts());
        }
        wave.worst = wave.nominal;
        wave.range =
            Envelope{wave.nominal.seconds, wave.nominal.volts, wave.nominal.volts, wave.nominal.volts};
        wave.marks = {{words(), volts(), static_cast<WaveMark::Kind>(*rc::gen::inRange(0, 3))},
                      {"VIL", volts()}};
        d.blocks.push_back(WaveChart{.title = words(),
                                     .rows = {wave, {.point = words()}},
                                     .bits = "0110",
                                     .bit_time = *rc::gen::inRange(0, 9) * 1e-7,
                                     .worst_words = words(),
                                     .range_words = words()});
        d.blocks.push_back(Details{text(), {paragraph(text())}});
        return d;
    });
}

}  // namespace voltsill::doc
