#include "server/http.h"

#include <netinet/in.h>
#include <sys/socket.h>

#include "server/listen.h"

namespace voltsill::server {
namespace {

std::string lowered_name(const char* text) {
    std::string out;
    for (; *text; ++text) out += *text >= 'A' && *text <= 'Z' ? static_cast<char>(*text - 'A' + 'a') : *text;
    return out;
}

MHD_Result note_header(void* to, MHD_ValueKind, const char* key, std::size_t, const char* value, std::size_t size) {
    static_cast<Head*>(to)->headers.emplace_back(lowered_name(key), value ? std::string(value, size) : "");
    return MHD_YES;
}

MHD_Result note_query(void* to, MHD_ValueKind, const char* key, std::size_t key_size, const char* value,
                      std::size_t size) {
    static_cast<Head*>(to)->query.emplace(std::string(key, key_size), value ? std::string(value, size) : "");
    return MHD_YES;
}

std::string peer_address(MHD_Connection* connection) {
    const auto* info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    return info && info->client_addr ? address_bytes(*info->client_addr) : std::string();
}

/// Over the loopback, or from the address it came to: no packet of another machine gets an answer to that.
bool comes_from_here(MHD_Connection* connection) {
    const auto* client = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    const auto* socket = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    sockaddr_storage own{};
    socklen_t size = sizeof own;
    if (!client || !client->client_addr || !socket ||
        getsockname(socket->connect_fd, reinterpret_cast<sockaddr*>(&own), &size) != 0)
        return false;
    return is_from_here(*client->client_addr, reinterpret_cast<const sockaddr&>(own));
}

}  // namespace

std::string address_bytes(const sockaddr& address) {
    if (address.sa_family == AF_INET6)
        return {reinterpret_cast<const char*>(&reinterpret_cast<const sockaddr_in6&>(address).sin6_addr), 8};
    return {reinterpret_cast<const char*>(&reinterpret_cast<const sockaddr_in&>(address).sin_addr), 4};
}

Head head_of(MHD_Connection* connection, const char* url, const char* method) {
    Head head{.method = method, .path = url, .peer = peer_address(connection),
              .from_here = comes_from_here(connection)};
    MHD_get_connection_values_n(connection, MHD_HEADER_KIND, note_header, &head);
    MHD_get_connection_values_n(connection, MHD_GET_ARGUMENT_KIND, note_query, &head);
    return head;
}

MHD_Response* response_with_body(const Answer& answer) {
    using Shared = std::shared_ptr<const std::string>;
    if (!answer.shared)
        return MHD_create_response_from_buffer(answer.body.size(), const_cast<char*>(answer.body.data()),
                                               MHD_RESPMEM_MUST_COPY);
    return MHD_create_response_from_buffer_with_free_callback_cls(
        answer.shared->size(), const_cast<char*>(answer.shared->data()),
        [](void* shared) { delete static_cast<Shared*>(shared); }, new Shared(answer.shared));
}

}  // namespace voltsill::server
