#include "server/server.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <filesystem>

#include "engine/diagnose.h"
#include "server/server_inside.h"

namespace voltsill::server {
namespace {

/// When the network comes back, a whole class opens its streams again.
constexpr std::size_t waiting_of_a_class = 1024;

}  // namespace

Server::Inner::Inner(const ServerOptions& options, BenchFolder folder, std::string open_file, int port)
    : site{.folder = std::move(folder), .open_file = std::move(open_file), .version = options.version,
           .threads = options.threads},
      options_(options),
      peers(options.patience, !options.certificate.empty()),
      workers(options.threads, options.hall ? std::max(options.most_waiting, waiting_of_a_class) : options.most_waiting) {
    site.diagnosed = diagnose_memory();
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
    auto opened = Hall::open(std::move(hall), std::move(*lesson));
    if (!opened) return std::unexpected(std::move(opened.error()));
    return std::shared_ptr<Hall>(std::move(*opened));
}

/// Why this server must not be reached from where it would be; empty: it may.
std::string objection_to_place(const ServerOptions& options) {
    if (!is_one_address(options.bind))
        return fmt::format("\"{}\" is not one address of this machine, such as 192.168.1.5", options.bind);
    if (!options.hall && !is_loopback(options.bind))
        return "benches are served to this machine alone; another address is for a class (--class)";
    if (options.certificate.empty() != options.key.empty()) return "a certificate and its key belong together";
    return {};
}

}  // namespace

std::expected<std::unique_ptr<Server>, std::string> Server::start(const ServerOptions& options) {
    namespace fs = std::filesystem;
    if (std::string objection = objection_to_place(options); !objection.empty()) return std::unexpected(std::move(objection));
    std::error_code error;
    const bool one_file = fs::is_regular_file(options.path, error);
    const fs::path parent = fs::path(options.path).parent_path();
    auto folder = BenchFolder::open(!one_file ? options.path : parent.empty() ? "." : parent.string());
    if (!folder) return std::unexpected(std::move(folder.error()));
    const std::string file = one_file ? fs::path(options.path).filename().string() : "";
    if (one_file)
        if (const auto bytes = folder->read(file); !bytes)
            return std::unexpected(fmt::format("{}: only bench files whose names end in .toml are opened", options.path));
    std::shared_ptr<Hall> hall;
    if (options.hall) {
        auto opened = opened_hall(options, *folder, file);
        if (!opened) return std::unexpected(std::move(opened.error()));
        hall = std::move(*opened);
    }
    auto listening = listen_on(options.bind, options.port, first_port, ports_tried);
    if (!listening) return std::unexpected(std::move(listening.error()));
    auto inner = std::make_unique<Inner>(options, std::move(*folder), file, listening->port);
    if (hall) hall->set_url(inner->site.guard.url());
    inner->site.hall = std::move(hall);
    if (!inner->run(std::move(listening->socket)))
        return std::unexpected(options.certificate.empty() ? "the server could not be started"
                                                           : "the server could not be started: look at certificate and key");
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
