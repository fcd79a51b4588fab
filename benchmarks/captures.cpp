/// How fast a capture is held against a bench, as a share of the rate at which `cat FILE` comes through
/// a pipe to a reader that throws it away. Files are written to a temporary folder and removed; what was
/// measured on them is checked before anything is timed.
///
///     captures [MEGABYTES]         of each file, default 400
///     ratio NAME VALUE TARGET      VALUE = rate of the check / rate of cat
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <utility>
#include <vector>

#include "answers.h"
#include "engine/capture.h"

namespace {
using namespace voltsill;
using namespace measured;
namespace fs = std::filesystem;

class Folder {
  public:
    Folder() : path_(fs::temp_directory_path() / fmt::format("voltsill-captures-{}", getpid())) {
        fs::create_directories(path_);
    }
    ~Folder() { fs::remove_all(path_); }
    std::string operator/(const char* name) const { return (path_ / name).string(); }

  private:
    fs::path path_;
};

/// Written in large pieces.
class Writer {
  public:
    explicit Writer(const std::string& path) : file_(std::fopen(path.c_str(), "wb")) {
        if (!file_) throw std::runtime_error(path + " cannot be written");
    }
    ~Writer() {
        flush();
        std::fclose(file_);
    }
    template <class... A>
    void put(fmt::format_string<A...> form, A&&... a) {
        fmt::format_to(std::back_inserter(buffer_), form, std::forward<A>(a)...);
        if (buffer_.size() > 1u << 20) flush();
    }
    std::size_t size() const { return size_ + buffer_.size(); }

  private:
    void flush() {
        if (std::fwrite(buffer_.data(), 1, buffer_.size(), file_) != buffer_.size()) std::abort();
        size_ += buffer_.size();
        buffer_.clear();
    }
    std::FILE* file_;
    fmt::memory_buffer buffer_;
    std::size_t size_ = 0;
};

/// Two channels of an oscilloscope: 3.3 V at 10 kHz with ramps of ten samples and a ripple of 8 bits,
/// and its inverse at 5 V.
void write_csv(const std::string& path, std::size_t bytes) {
    Writer out(path);
    out.put("Model,Invented\nTime,CH1,CH2\nSecond,Volt,Volt\n");
    for (std::uint64_t k = 0; out.size() < bytes; ++k) {
        const auto phase = static_cast<int>(k % 1000);
        const int ramp = phase < 10 ? phase : phase < 500 ? 10 : phase < 510 ? 510 - phase : 0;
        const double ripple = 0.0129 * static_cast<double>(k * 2654435761u >> 13 & 1);
        out.put("{}.{:07},{:.4f},{:.4f}\n", k / 10'000'000, k % 10'000'000, 0.33 * ramp + ripple,
                5 - 0.5 * ramp - ripple);
    }
}

/// Eight lines of a logic analyser, 100 MHz: a clock of 1 MHz and a counter on it.
void write_vcd(const std::string& path, std::size_t bytes) {
    Writer out(path);
    out.put("$timescale 10 ns $end\n$scope module pod $end\n");
    for (int k = 0; k < 8; ++k) out.put("$var wire 1 {} D{} $end\n", static_cast<char>('!' + k), k);
    out.put("$upscope $end\n$enddefinitions $end\n#0\n$dumpvars\n0! 0\" 0# 0$ 0% 0& 0' 0(\n$end\n");
    for (std::uint64_t k = 1; out.size() < bytes; ++k) {
        out.put("#{}\n{}!\n", 50 * k, k & 1);
        if (k & 1)
            for (unsigned bit = 1; bit < 8; ++bit)
                if ((k / 2 ^ (k / 2 + 1)) >> (bit - 1) & 1)
                    out.put("{}{}\n", (k / 2 + 1) >> (bit - 1) & 1, static_cast<char>('!' + bit));
    }
}

double seconds_since(std::chrono::steady_clock::time_point begin) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

/// Medians of runs that take turns: both meet the same machine. (A pipe is up to three times as fast when
/// both of its ends happen to share a core.)
std::pair<double, double> medians(const auto& first, const auto& second) {
    std::vector<double> times[2];
    for (int k = 0; k < 5; ++k)
        for (const bool other : {false, true}) {
            const auto begin = std::chrono::steady_clock::now();
            other ? second() : first();
            times[other].push_back(seconds_since(begin));
        }
    for (auto& t : times) std::ranges::sort(t);
    return {times[0][2], times[1][2]};
}

void cat(const std::string& path) {
    std::FILE* pipe = popen(("cat '" + path + "'").c_str(), "r");
    std::vector<char> buffer(256u << 10);
    while (read(fileno(pipe), buffer.data(), buffer.size()) > 0) {
    }
    if (pclose(pipe) != 0) std::abort();
}

CaptureResult held(const std::string& bench, const std::string& path, const CaptureRequest& request) {
    const int file = open(path.c_str(), O_RDONLY);
    std::vector<char> buffer(256u << 10);
    const CaptureSource source{.next =
                                   [&] {
                                       const ssize_t n = read(file, buffer.data(), buffer.size());
                                       return std::string_view(buffer.data(),
                                                               n > 0 ? static_cast<std::size_t>(n) : 0);
                                   },
                               .rewind = [&] { return lseek(file, 0, SEEK_SET) == 0; }};
    CaptureResult result = check_capture(bench, "bench.toml", {}, path, source, request);
    close(file);
    return result;
}

bool near(double value, double right, double part = 1e-3) {
    return std::abs(value - right) <= part * std::abs(right);
}

void check_csv(const CaptureResult& r) {
    if (!r.bench || r.mapped.size() != 1 || r.capture.channels.size() != 2) wrong("the CSV file is not read");
    const VoltageMeasures& a = *r.capture.channels[0].voltage();
    const VoltageMeasures& b = *r.capture.channels[1].voltage();
    if (a.missing || !near(a.levels->high, 3.3, 0.01) || std::abs(a.levels->low) > 0.02 ||
        !near(b.levels->high, 5, 0.01))
        wrong(fmt::format("levels {} and {}", a.levels->high, b.levels->high));
    if (!near(*a.pulses.frequency, 10e3) || !near(*b.pulses.duty, 0.5) || !near(a.rise.mean(), 0.8e-6, 0.02))
        wrong("times of the CSV file");
}

void check_vcd(const CaptureResult& r) {
    if (!r.bench || r.mapped.size() != 1 || r.capture.channels.size() != 8) wrong("the VCD file is not read");
    for (int k = 0; k < 8; ++k)
        if (!near(*r.capture.channels[static_cast<std::size_t>(k)].pulses().frequency,
                  k == 0 ? 1e6 : 1e6 / (1 << k)))
            wrong(fmt::format("frequency of D{}: {}", k,
                              *r.capture.channels[static_cast<std::size_t>(k)].pulses().frequency));
}

void time(const char* name, const std::string& bench, const std::string& path,
          const CaptureRequest& request) {
    const auto size = static_cast<double>(fs::file_size(path));
    const auto [of_cat, of_check] = medians([&] { cat(path); }, [&] { (void)held(bench, path, request); });
    fmt::print("{}: {:.0f} MB, cat {:.0f} MB/s, check {:.0f} MB/s\n", name, size / 1e6, size / of_cat / 1e6,
               size / of_check / 1e6);
    fmt::print("ratio {} {:.3f} 0.25\n", name, of_cat / of_check);
}

}  // namespace

int main(int argc, char** argv) {
    const double megabytes = argc > 1 ? std::atof(argv[1]) : 400;
    if (!(megabytes >= 1 && megabytes <= 1e5)) {
        fmt::print(stderr, "captures [MEGABYTES], 1 to 100000\n");
        return 2;
    }
    std::ifstream in(std::string(VOLTSILL_ROOT) + "/examples/first-bench.toml", std::ios::binary);
    const std::string bench{std::istreambuf_iterator<char>(in), {}};
    const Folder folder;
    const std::string csv = folder / "scope.csv", vcd = folder / "pod.vcd";
    write_csv(csv, static_cast<std::size_t>(megabytes * 1e6));
    write_vcd(vcd, static_cast<std::size_t>(megabytes * 1e6));
    const CaptureRequest scope{.maps = {"CH1=first signal"}}, pod{.maps = {"D1=first signal"}};
    check_csv(held(bench, csv, scope));
    check_vcd(held(bench, vcd, pod));
    time("captures-csv", bench, csv, scope);
    time("captures-vcd", bench, vcd, pod);
}
