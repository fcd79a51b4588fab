// Every benchmark beside this program, one after the other, and one table of all that they measured. Each checks its
// answers before it measures; one that finds a wrong answer fails, and then so does this.
//
//     build/benchmarks/all              the table on the terminal, the ratios last
//     build/benchmarks/all FILE.md      and the table with the machine it was taken on, as Markdown
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <thread>
#include <vector>

namespace {
namespace fs = std::filesystem;

struct Ratio {
    std::string program, name;
    double value = 0, target = 0;
};

struct Run {
    std::vector<Ratio> ratios;
    bool passed = true;
};

std::string quoted(const std::string& path) {
    std::string out = "'";
    for (const char c : path) c == '\'' ? out += "'\\''" : out += c;
    return out + "'";
}

/// Runs one program, shows what it says as it says it, and keeps its ratios.
void run(const fs::path& program, Run& all) {
    fmt::print("== {}\n", program.filename().string());
    std::fflush(stdout);
    FILE* pipe = popen(quoted(program.string()).c_str(), "r");
    if (!pipe) {
        all.passed = false;
        return;
    }
    std::array<char, 4096> line{};
    while (std::fgets(line.data(), static_cast<int>(line.size()), pipe)) {
        std::fputs(line.data(), stdout);
        std::fflush(stdout);
        std::istringstream words(line.data());
        Ratio ratio{.program = program.filename().string(), .name = {}};
        if (std::string first; words >> first >> ratio.name >> ratio.value >> ratio.target && first == "ratio")
            all.ratios.push_back(ratio);
    }
    const int status = pclose(pipe);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        fmt::print("{} failed\n", program.filename().string());
        all.passed = false;
    }
}

/// What follows the first of these words in /proc/cpuinfo.
std::string of_processor(const std::string& word) {
    std::ifstream in("/proc/cpuinfo");
    for (std::string line; std::getline(in, line);)
        if (line.starts_with(word))
            if (const auto colon = line.find(':'); colon != std::string::npos)
                return line.substr(std::min(colon + 2, line.size()));
    return {};
}

std::string machine() {
    const std::string flags = " " + of_processor("flags") + " ";
    std::string sets = "baseline";
    if (flags.find(" avx2 ") != std::string::npos) sets += ", AVX2";
    if (flags.find(" avx512f ") != std::string::npos) sets += ", AVX-512";
    std::array<char, 32> day{};
    const std::time_t now = std::time(nullptr);
    std::strftime(day.data(), day.size(), "%Y-%m-%d", std::localtime(&now));
    std::ifstream in("/proc/loadavg");
    std::string load;
    in >> load;
    return fmt::format("{}, {} cores, {}; compiler {}; load {} at the beginning; {}", of_processor("model name"),
                       std::thread::hardware_concurrency(), sets, __VERSION__, load, day.data());
}

std::string table(const std::vector<Ratio>& ratios, const std::string& on) {
    std::string out = fmt::format(
        "# Measured\n\nMade by `build/benchmarks/all`; do not edit. On: {}.\n\nLarger is better. "
        "What a figure means stands at the head of its program in `benchmarks/`.\n\n"
        "| program | figure | value | target | |\n|---|---|---:|---:|---|\n",
        on);
    for (const Ratio& r : ratios)
        out += fmt::format("| {} | {} | {:.6g} | {:.6g} | {} |\n", r.program, r.name, r.value, r.target,
                           r.value >= r.target ? "met" : "missed");
    const auto missed = std::ranges::count_if(ratios, [](const Ratio& r) { return r.value < r.target; });
    return out + fmt::format("\n{} figures, {} below their target.\n", ratios.size(), missed);
}

}  // namespace

int main(int argc, char** argv) {
    const std::string on = machine();
    std::vector<fs::path> programs;
    const fs::path self = fs::canonical("/proc/self/exe");
    for (const auto& file : fs::directory_iterator(self.parent_path()))
        if (file.is_regular_file() && file.path() != self && !file.path().has_extension() &&
            access(file.path().c_str(), X_OK) == 0)
            programs.push_back(file.path());
    std::ranges::sort(programs);
    Run all;
    for (const fs::path& program : programs) run(program, all);
    const std::string text = table(all.ratios, on);
    fmt::print("\n{}\n", text);
    if (argc > 1 && !(std::ofstream(argv[1]) << text)) {
        fmt::print(stderr, "{} could not be written\n", argv[1]);
        return 2;
    }
    for (const Ratio& r : all.ratios) fmt::print("ratio {} {:.6g} {:.6g}\n", r.name, r.value, r.target);
    return all.passed && !all.ratios.empty() ? 0 : 1;
}
