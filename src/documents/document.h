#pragma once
/// One document model for every report: a title and a row of blocks, rendered to a terminal, to
/// HTML, to Markdown (terminal.h, html.h, markdown.h) and to paper (printing/pdf.h).
///
/// Text is UTF-8 and may hold anything a user typed: each renderer makes it harmless for its own
/// medium, so whoever builds a document never escapes. Newlines count as spaces, except in
/// `Arithmetic`.
///
///     doc::Document report{.title = "Check of the station"};
///     report.blocks.push_back(doc::heading(2, "tank echo", "link-1"));
///     report.blocks.push_back(doc::paragraph({doc::verdict(Verdict::thin), " 0.2 V to spare"}));
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "drawing/drawing.h"
#include "judging/finding.h"
#include "signals/wave.h"

namespace voltsill::doc {

enum class Face { plain, strong, code, verdict, tick };

/// A piece of text in one face. A verdict is printed as its sign and its word; `text`, if any,
/// stands in place of the word. A tick is an empty box for a pen; `text` says what it is for.
struct Run {
    std::string text;
    Face face = Face::plain;
    Verdict verdict = Verdict::safe;  ///< for Face::verdict
    std::string target;               ///< anchor of a heading this run leads to; empty: none

    Run(std::string words) : text(std::move(words)) {}
    Run(const char* words) : text(words) {}
    Run(std::string words, Face f) : text(std::move(words)), face(f) {}
};
using Text = std::vector<Run>;

struct Heading {
    int level = 2;  ///< 2..6; the title of the document is level 1
    Text text;
    std::string anchor;  ///< [a-z0-9-]; empty: nothing leads here
};
struct Paragraph {
    Text text;
};
struct BulletList {
    std::vector<Text> items;
};
/// Terms and what they are.
struct Definitions {
    std::vector<std::pair<Text, Text>> rows;
};

enum class Align { left, right, center };
struct Column {
    std::string title;
    Align align = Align::left;
    bool may_wrap = true;
};
/// The first column names its row.
struct Table {
    std::string caption;
    std::vector<Column> columns;
    std::vector<std::vector<Text>> rows;  ///< as many cells as columns
};
/// Set as it stands, with its lines.
struct Arithmetic {
    std::string text;
};
struct Caution {
    std::string title;
    std::vector<Text> paragraphs;
};
/// A drawing; its description stands for it where none can be shown.
struct Picture {
    drawing::Drawing drawing;
    std::string caption;
};
/// Things to do in this order, each with a box to tick.
struct Steps {
    struct Step {
        Text text;
        Text more;  ///< what belongs to it, in small; may be empty
    };
    std::vector<Step> items;
    bool numbered = true;
    int first = 1;  ///< number of the first; a list may go on after a heading
};
/// What follows starts a page, where there are pages.
struct PageBreak {};

/// What arrives at one point, V.
struct ChartBand {
    bool high = false;
    double lo = 0, nominal = 0, hi = 0;
    bool floats = false;  ///< nothing defines it: said, not drawn
    bool any = false;     ///< an analogue signal: neither level, but all between
};
/// One point of a link: what arrives there, how it is read, and what the point stands.
struct ChartRow {
    std::string group;  ///< "joined directly"; rows of a group stand together
    std::string point;  ///< "controller.D4"
    std::vector<ChartBand> bands;
    std::optional<double> low_threshold;         ///< VIL max
    std::optional<double> high_threshold;        ///< VIH min
    std::optional<double> limit_min, limit_max;  ///< absolute maximum ratings
    std::optional<double> supply;                ///< nominal
};
/// Levels of a link on one voltage axis. A list of numbers: every renderer draws it in its way.
struct LevelChart {
    std::string title;
    std::vector<ChartRow> rows;
};

/// A voltage that a wave is held against.
struct WaveMark {
    enum class Kind { threshold, supply, limit };
    std::string name;  ///< "VIH", "supply", "max"
    double volts = 0;
    Kind kind = Kind::threshold;
};
/// One point of a link over time.
struct WaveRow {
    std::string point;              ///< "controller.D4"
    std::string note;               ///< "receiver"; may be empty
    Wave nominal, worst;            ///< worst: may be empty
    std::optional<Envelope> range;  ///< over all samples
    std::vector<WaveMark> marks;
};
/// Waves of a link, one row a point, on one time and one voltage axis.
struct WaveChart {
    std::string title;
    std::vector<WaveRow> rows;
    std::string bits;           ///< as driven; may be empty
    double bit_time = 0;        ///< s; 0: no bits
    std::string nominal_words;  ///< what the nominal wave is; empty: "nominal"
    std::string worst_words;    ///< "worst: sample 17"
    std::string range_words;    ///< "4096 samples"
};

struct Details;
using Block = std::variant<Heading, Paragraph, BulletList, Definitions, Table, Arithmetic, Caution, Picture,
                           Steps, PageBreak, LevelChart, WaveChart, Details>;
/// What only some readers want: closed at first where the medium can open it.
struct Details {
    Text summary;
    std::vector<Block> blocks;
};

struct Document {
    std::string title;
    std::vector<Block> blocks;
};

Run strong(std::string text);
Run code(std::string text);
Run verdict(Verdict verdict);  ///< "✗ harmful"
Run tick(std::string what);    ///< "☐"
Run leading_to(std::string text, std::string anchor);
Block heading(int level, Text text, std::string anchor = {});
Block paragraph(Text text);
Block arithmetic(std::string text);

/// The words of a run, with sign and word of a verdict; of a tick, its box. No face.
std::string plain_text(const Run& run);
std::string plain_text(const Text& text);

/// What stands for a drawing where it cannot be shown.
std::string words_for(const drawing::Drawing& drawing);

}  // namespace voltsill::doc
