#include "server/server.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <filesystem>
#include <ranges>

#include "engine/diagnose.h"
#include "engine/reading.h"
#include "server/server_inside.h"

namespace voltsill::server {
namespace fs = std::filesystem;
namespace {

/// When the network comes back, a whole class opens its streams again.
constexpr std::size_t waiting_of_a_class = 1024;

}  // namespace

Server::Inner::Inner(const ServerOptions& options, BenchFolder folder, std::string open_file, int port)
    : site{.folder = std::move(folder),
           .open_file = std::move(open_file),
           .version = options.version,
           .threads = options.threads},
      options_(options),
      peers(options.patience, !options.certificate.empty()),
      workers(options.threads,
              options.hall ? std::max(options.most_waiting, waiting_of_a_class) : options.most_waiting) {
    site.diagnosed = diagnose_memory();
    if (options.hall && !options.certificate.empty()) handshakes_.emplace(options.hall->limits.handshakes);
    site.guard = {.port = port, .token = random_words(), .secure = !options.certificate.empty()};
    const std::string address = options.bind.find(':') == std::string::npos ? options.bind : "[" + options.bind + "]";
    if (!is_loopback(options.bind)) site.guard.names = {address};
    if (!options.name.empty()) site.guard.names.insert(site.guard.names.begin(), options.name);
}

Server::Server(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
Server::~Server() {
    while (!stop()) {
    }
}

namespace {

/// Folders on the way to a file, made for this person alone; those that stay empty are taken away again.
class MadeFolders {
  public:
    explicit MadeFolders(const std::string& file) {
        std::error_code error;
        for (fs::path at = fs::path(file).parent_path(); !at.empty() && !fs::exists(at, error); at = at.parent_path())
            made_.push_back(at);
        for (const fs::path& folder : std::views::reverse(made_))
            if (fs::create_directory(folder, error)) fs::permissions(folder, fs::perms::owner_all, error);
    }
    ~MadeFolders() {
        std::error_code not_empty;
        for (const fs::path& folder : made_) fs::remove(folder, not_empty);
    }
    MadeFolders(const MadeFolders&) = delete;
    MadeFolders& operator=(const MadeFolders&) = delete;

  private:
    std::vector<fs::path> made_;  ///< innermost first
};

/// The lesson of a class, from the bench that is served.
std::expected<std::shared_ptr<Hall>, std::string> opened_hall(const ServerOptions& options, const BenchFolder& folder,
                                                              const std::string& file) {
    if (file.empty()) return std::unexpected(options.path + " is a folder: a class works on one bench");
    const auto bytes = folder.read(file);
    if (!bytes) return std::unexpected(file + " cannot be read");
    bool included = false;
    const SheetsOptions sheets{.audience = Audience::instructor, .slips = false, .threads = options.threads};
    auto lesson = make_lesson(make_sheets(bytes->text, file, folder.include_beside(file, included), sheets), file);
    if (!lesson) return std::unexpected(std::move(lesson.error()));
    HallOptions hall = *options.hall;
    hall.secure = !options.certificate.empty();
    hall.here_alone = is_loopback(options.bind);
    const MadeFolders made(hall.store);
    auto opened = Hall::open(std::move(hall), std::move(*lesson));
    if (!opened) return std::unexpected(std::move(opened.error()));
    return std::shared_ptr<Hall>(std::move(*opened));
}

/// What is served: the folder, and the bench that is opened first.
struct Served {
    BenchFolder folder;
    std::string file;  ///< empty: the folder alone
};
std::expected<Served, std::string> served(const std::string& path) {
    std::error_code error;
    if (!fs::exists(path, error)) return std::unexpected(path + ": there is no such file or folder");
    const bool one_file = fs::is_regular_file(path, error);
    const fs::path parent = fs::path(path).parent_path();
    auto folder = BenchFolder::open(!one_file ? path : parent.empty() ? "." : parent.string());
    if (!folder) return std::unexpected(std::move(folder.error()));
    const std::string file = one_file ? fs::path(path).filename().string() : "";
    if (one_file && !folder->read(file))
        return std::unexpected(fmt::format("{}: only bench files whose names end in .toml are opened", path));
    return Served{std::move(*folder), file};
}

/// Why no class can be held on it; empty: it can.
std::string objection_to_bench(const ServerOptions& options, const Served& what) {
    if (what.file.empty()) return options.path + " is a folder: a class works on one bench";
    const auto bytes = what.folder.read(what.file);
    if (!bytes) return options.path + " cannot be read";
    bool included = false;
    const BenchReading reading = read_for_job(bytes->text, what.file, what.folder.include_beside(what.file, included));
    if (reading.bench) return {};
    const auto first = std::ranges::find(reading.problems, Severity::error, &Problem::severity);
    return first == reading.problems.end()
               ? options.path + " cannot be read"
               : fmt::format("{}:{}: {}; `voltsill check {}` shows all of it", options.path, first->place.line,
                             first->message, options.path);
}

/// Why this server must not be reached from where it would be; empty: it may.
std::string objection_to_place(const ServerOptions& options) {
    if (!is_one_address(options.bind))
        return fmt::format("\"{}\" is not one address of this machine, such as 192.168.1.5{}", options.bind,
                           own_addresses_words());
    if (!options.hall && !is_loopback(options.bind))
        return "benches are served to this machine alone; another address is for a class (--class)";
    if (options.certificate.empty() != options.key.empty()) return "a certificate and its key belong together";
    if (!options.certificate.empty() && !is_certificate(options.certificate, options.key))
        return "certificate and key cannot be used: they must be PEM files that belong together";
    return {};
}

}  // namespace

std::string Server::objection(const ServerOptions& options) {
    if (std::string objection = objection_to_place(options); !objection.empty()) return objection;
    const auto what = served(options.path);
    if (!what) return what.error();
    if (options.hall)
        if (std::string objection = objection_to_bench(options, *what); !objection.empty()) return objection;
    const auto listening = listen_on(options.bind, options.port, first_port, ports_tried);
    return listening ? std::string() : listening.error();
}

std::expected<std::unique_ptr<Server>, std::string> Server::start(const ServerOptions& options) {
    if (std::string objection = objection_to_place(options); !objection.empty())
        return std::unexpected(std::move(objection));
    auto what = served(options.path);
    if (!what) return std::unexpected(std::move(what.error()));
    auto listening = listen_on(options.bind, options.port, first_port, ports_tried);
    if (!listening) return std::unexpected(std::move(listening.error()));
    std::shared_ptr<Hall> hall;
    if (options.hall) {
        auto opened = opened_hall(options, what->folder, what->file);
        if (!opened) return std::unexpected(std::move(opened.error()));
        hall = std::move(*opened);
    }
    auto inner = std::make_unique<Inner>(options, std::move(what->folder), what->file, listening->port);
    if (hall) hall->set_url(inner->site.guard.url());
    inner->site.hall = std::move(hall);
    if (!inner->run(std::move(listening->socket))) return std::unexpected("the server could not be started");
    return std::unique_ptr<Server>(new Server(std::move(inner)));
}

int Server::port() const { return inner_->site.guard.port; }
std::string Server::url() const { return inner_->site.guard.url(); }
const std::string& Server::token() const { return inner_->site.guard.token; }
const std::string& Server::folder() const { return inner_->site.folder.path(); }
bool Server::secure() const { return inner_->site.guard.secure; }
std::string Server::join_code_url() const { return inner_->site.hall ? inner_->site.hall->join_url() : ""; }
bool Server::stop() { return inner_->stop(); }

}  // namespace voltsill::server
