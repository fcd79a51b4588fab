#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>
#include <utf8proc.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "cli/files.h"
#include "cli/options.h"
#include "documents/html.h"
#include "documents/markdown.h"
#include "documents/terminal.h"
#include "drawing/text.h"

namespace voltsill::cli {

Screen screen_for(const Options& options) {
    Screen screen;
    const bool terminal = isatty(STDOUT_FILENO) != 0;
    winsize size{};
    if (terminal && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        screen.width = size.ws_col;
    else if (const char* columns = std::getenv("COLUMNS"); columns && std::atoi(columns) > 0)
        screen.width = std::atoi(columns);
    if (options.width > 0) screen.width = options.width;
    screen.width = std::clamp(screen.width, 40, 200);
    const char* no_colour = std::getenv("NO_COLOR");  // the convention of no-color.org
    const bool wanted = terminal && (!no_colour || !*no_colour);
    screen.colour = options.colour == "always" || (options.colour == "auto" && wanted);
    screen.ascii = options.ascii;
    return screen;
}

namespace {

/// Every code point beyond ASCII as `write` says.
std::string escaped(const std::string& text, std::string (*write)(char32_t)) {
    std::string out;
    std::string_view rest = text;
    while (!rest.empty()) {
        utf8proc_int32_t code = -1;
        const auto n = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(rest.data()),
                                        static_cast<utf8proc_ssize_t>(rest.size()), &code);
        const char32_t point = n > 0 ? static_cast<char32_t>(code) : U'\uFFFD';
        out += point < 0x80 ? std::string(1, static_cast<char>(point)) : write(point);
        rest.remove_prefix(n > 0 ? static_cast<std::size_t>(n) : 1);
    }
    return out;
}

/// RFC 8259, section 7: a pair of surrogates beyond the basic plane.
std::string json_escape(char32_t c) {
    if (c < 0x10000) return fmt::format("\\u{:04x}", static_cast<unsigned>(c));
    const auto above = static_cast<unsigned>(c) - 0x10000;
    return fmt::format("\\u{:04x}\\u{:04x}", 0xD800 + (above >> 10), 0xDC00 + (above & 0x3FF));
}

std::string reference(char32_t c) { return fmt::format("&#x{:X};", static_cast<unsigned>(c)); }

std::string in_form(const std::string& text, const Options& o) {
    if (!o.ascii) return text;
    if (o.form == Form::json || o.form == Form::sarif) return escaped(text, json_escape);
    if (o.form == Form::html || o.form == Form::junit) return escaped(text, reference);
    return to_ascii(text);
}

/// Byte at which the code point of that index begins, or the end.
std::size_t byte_of(const std::string& line, int index) {
    std::size_t at = 0;
    for (int k = 0; at < line.size(); ++at)
        if ((static_cast<unsigned char>(line[at]) & 0xC0) != 0x80 && k++ == index) break;
    return at;
}

/// A line in ASCII, with its carets where they belong.
void mark_in_ascii(Place& place, std::string& line) {
    const std::size_t from = byte_of(line, place.column - 1),
                      to = byte_of(line, place.column - 1 + place.width);
    const std::string before = to_ascii(line.substr(0, from)),
                      marked = to_ascii(line.substr(from, to - from));
    line = before + marked + to_ascii(line.substr(to));
    place.column = static_cast<int>(before.size()) + 1;
    place.width = static_cast<int>(marked.size());
}

/// The place in the headline stays that of the file; only excerpts are rewritten.
std::string shown(Problem problem, const Options& options) {
    if (!options.ascii) return render(problem);
    const std::string head = fmt::format(":{}:{}:", problem.place.line, problem.place.column);
    mark_in_ascii(problem.place, problem.excerpt);
    mark_in_ascii(problem.other, problem.other_excerpt);
    std::string text = to_ascii(render(problem));
    const std::string moved = fmt::format(":{}:{}:", problem.place.line, problem.place.column);
    if (const std::size_t at = text.find(moved); at != std::string::npos)
        text.replace(at, moved.size(), head);
    return text;
}

/// Where even that cannot be written (a full disk), there is nobody left to tell.
void to_stderr(const std::string& text) {
    std::fwrite(text.data(), 1, text.size(), stderr);
    std::fputc('\n', stderr);
}

}  // namespace

void print_out(const std::string& unlimited, const Options& options) {
    const std::string text = in_form(unlimited, options);
    std::fwrite(text.data(), 1, text.size(), stdout);
    if (text.empty() || text.back() != '\n') std::fputc('\n', stdout);
}

void complain(const std::string& sentence, const Options& options) {
    to_stderr("voltsill: " + (options.ascii ? to_ascii(sentence) : sentence));
}

int give_up(int code, const std::string& sentence, const Options& options) {
    if (options.form == Form::json)
        print_out(to_json(Problems{{.code = code == wrong_use ? "wrong-use" : code == refused ? "refused" : "stopped",
                                    .message = sentence}}),
                  options);
    else
        complain(sentence, options);
    return code;
}

std::optional<std::string> bytes_of(const std::string& path, const Options& options) {
    auto bytes = read_file(path);
    if (bytes) return std::move(*bytes);
    give_up(refused, bytes.error(), options);
    return std::nullopt;
}

int show_problems(const Problems& found, const Options& options) {
    const Problems problems = with_nearest_files(found);
    if (options.form == Form::json && has_error(problems)) {
        print_out(to_json(problems), options);
        return refused;
    }
    for (const Problem& problem : problems)
        if (problem.severity == Severity::error || !options.quiet)
            to_stderr(shown(problem, options));
    return has_error(problems) ? refused : 0;
}

std::string shown(const doc::Document& document, const Options& options, bool details) {
    if (options.form == Form::html) return doc::render_html(document);
    if (options.form == Form::markdown) return doc::render_markdown(document);
    const Screen screen = screen_for(options);
    return doc::render_terminal(
        document,
        {.width = screen.width, .colour = screen.colour, .unicode = !screen.ascii, .details = details});
}

bool write_files(const Files& files, const Options& options) {
    auto done = make_folder(options.out);
    for (const auto& [name, bytes] : files)
        if (done) done = write_file(options.out + "/" + name, bytes);
    if (!done) complain(done.error(), options);
    return done.has_value();
}

bool write_report(const Files& files, const Options& options) {
    if (!write_files(files, options)) return false;
    if (options.quiet || options.form != Form::terminal) return true;
    std::string names;
    for (const auto& [name, bytes] : files) names += (names.empty() ? "" : ", ") + name;
    print_out("\nWritten to " + options.out + ": " + names, options);
    return true;
}

}  // namespace voltsill::cli
