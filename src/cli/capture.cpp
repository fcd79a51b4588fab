/// capture: read a file of an instrument piece by piece, hold it against the bench, show.
#include "cli/capture.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <vector>

#include "cli/files.h"
#include "cli/progress.h"
#include "documents/capture_report.h"
#include "documents/html.h"
#include "documents/markdown.h"
#include "quantity/parse.h"

namespace voltsill::cli {
namespace {

/// Small enough to stay in the cache between the kernel's copy and the reader.
constexpr std::size_t piece = 256u << 10;

class CaptureFile {
  public:
    explicit CaptureFile(const std::string& path)
        : name_(path == "-" ? "standard input" : path), buffer_(piece) {
        descriptor_ = path == "-" ? STDIN_FILENO : open(path.c_str(), O_RDONLY | O_CLOEXEC);
        struct stat status {};
        if (descriptor_ < 0 || fstat(descriptor_, &status) != 0)
            trouble_ = fmt::format("{}: cannot be read ({})", name_, std::strerror(errno));
        else if (S_ISDIR(status.st_mode))
            trouble_ = fmt::format("{}: is a folder, not a file", name_);
        else if (S_ISREG(status.st_mode))
            size_ = static_cast<std::uint64_t>(status.st_size);
    }
    ~CaptureFile() {
        if (descriptor_ > STDIN_FILENO) close(descriptor_);
    }
    CaptureFile(const CaptureFile&) = delete;
    CaptureFile& operator=(const CaptureFile&) = delete;

    CaptureSource source() {
        return {.next = [this] { return next(); },
                .rewind = [this] { return lseek(descriptor_, 0, SEEK_SET) == 0; }};
    }
    /// 0 where it is not known: a pipe.
    double share(std::uint64_t bytes) const {
        return size_ ? static_cast<double>(bytes) / static_cast<double>(size_) : 0;
    }
    const std::string& name() const { return name_; }
    const std::string& trouble() const { return trouble_; }

  private:
    std::string_view next() {
        pollfd ready{descriptor_, POLLIN,
                     0};  // a pipe may be idle: unlike read, poll always ends with a signal
        while (poll(&ready, 1, -1) < 0 && errno == EINTR)
            if (Interruptible::asked()) return {};
        const ssize_t n = read(descriptor_, buffer_.data(), buffer_.size());
        if (n < 0) trouble_ = fmt::format("{}: reading stopped ({})", name_, std::strerror(errno));
        return {buffer_.data(), n > 0 ? static_cast<std::size_t>(n) : 0};
    }

    std::string name_, trouble_;
    int descriptor_ = -1;
    std::uint64_t size_ = 0;
    std::vector<char> buffer_;
};

/// Texts of options into numbers; false after a complaint.
bool read_numbers(CaptureCommand& c) {
    const auto time = [&](const std::string& text, const char* option, double& out) {
        if (text.empty()) return true;
        const auto span = parse<Seconds>(text);
        if (span && span->lo == span->hi && span->lo.si() > 0) {
            out = span->nominal.si();
            return true;
        }
        give_up(wrong_use, fmt::format("{}: \"{}\" is no time above 0 such as \"1 us\"", option, text), c);
        return false;
    };
    if (!time(c.interval, "--interval", c.request.sample_interval) ||
        !time(c.glitch, "--glitch", c.request.glitch_limit))
        return false;
    if (c.accuracy.empty()) return true;
    const auto ratio = parse_ratio(c.accuracy);
    if (ratio && *ratio >= 0 && *ratio <= 0.5) {
        c.request.compare.accuracy = *ratio;
        return true;
    }
    give_up(
        wrong_use, fmt::format("--accuracy: \"{}\" is no share of the range up to 50 %, such as \"3 %\"", c.accuracy),
        c);
    return false;
}

std::string wrong_only(const CaptureResult& r) {
    std::string out =
        fmt::format("{} {}{}", to_sign(r.verdict), to_word(r.verdict), r.capture.partial ? " (partial)" : "");
    for (const MappedChannel& m : r.mapped)
        for (const Finding& f : m.findings)
            if (f.verdict > Verdict::thin)
                out += fmt::format("\n{}: {}",
                                   r.capture.channels[static_cast<std::size_t>(m.channel)].channel.name,
                                   f.sentence);
    return out;
}

std::string shown(const CaptureResult& r, const doc::Document& document, const Options& o) {
    if (o.form == Form::json) return to_json(r);
    return o.quiet && o.form == Form::terminal ? wrong_only(r) : shown(document, o);
}

}  // namespace

void add_capture_options(CLI::App& app, CaptureCommand& c) {
    app.add_option("FILE", c.file, "capture: VCD or CSV; - is standard input")->required();
    app.add_option("--map", c.request.maps,
                   "where a channel was probed: CH1=\"tank echo\" or D0=controller.D2; may be repeated")
        ->type_name("CHANNEL=LINK")
        ->take_all()
        ->expected(1);
    app.add_option("--scale", c.request.scales, "volts at the probe's tip for one volt of the file: CH1=10")
        ->type_name("CHANNEL=FACTOR")
        ->take_all()
        ->expected(1);
    app.add_option("--interval", c.interval, "time between rows of a CSV file without times: \"1 us\"")
        ->type_name("TIME");
    app.add_option("--glitch", c.glitch,
                   "pulses shorter than this are glitches (default: a quarter of the link's period)")
        ->type_name("TIME");
    app.add_option("--accuracy", c.accuracy,
                   "of the instrument, as a share of the measured range (default: 3 %)")
        ->type_name("SHARE");
    app.footer(
        "Writes with --out: capture.html, capture.md, capture.json.\n"
        "Without --map, channels named like a link are held against it and all others only measured.\n"
        "Example: voltsill capture examples/rain-garden.toml trace.csv --map CH1=\"tank echo\" --scale "
        "CH1=10");
}

int run_capture(CaptureCommand c) {
    if (!read_numbers(c)) return wrong_use;
    const auto bench = bytes_of(c.bench, c);
    if (!bench) return refused;
    CaptureFile file(c.file);
    if (!file.trouble().empty()) return give_up(refused, file.trouble(), c);
    CaptureResult result;
    {
        const Interruptible may_stop;
        ProgressBar bar(c);
        result = check_capture(*bench, c.bench, include_beside(c.bench), file.name(), file.source(),
                               c.request, [&](std::uint64_t bytes, int go) {
                                   bar.show(file.share(bytes), go == 1 ? "reading" : "measuring edges again");
                                   return !Interruptible::asked();
                               });
    }
    if (!file.trouble().empty()) complain(file.trouble(), c);
    if (Interruptible::asked()) complain("stopped: the result is of what was read until then", c);
    if (show_problems(result.problems, c) != 0) return refused;
    const doc::Document document =
        capture_report(*result.bench, result.capture, result.mapped, result.planned);
    print_out(shown(result, document, c), c);
    if (!c.out.empty() && !write_report({{"capture.html", doc::render_html(document)},
                                         {"capture.md", doc::render_markdown(document)},
                                         {"capture.json", to_json(result)}},
                                        c)) return wrong_use;
    return Interruptible::asked() ? interrupted : exit_code(result.problems, result.verdict);
}

}  // namespace voltsill::cli
