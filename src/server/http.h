#pragma once
/// Requests and answers, between the HTTP library and values.
#include <microhttpd.h>

#include "server/exchange.h"

namespace voltsill::server {

/// As limits count it. A household or a phone has a whole network of 64 bits in IPv6 (RFC 6177).
std::string address_bytes(const sockaddr& address);
Head head_of(MHD_Connection* connection, const char* url, const char* method);
/// Of an answer that is no stream; the body of one that many get is not copied.
MHD_Response* response_with_body(const Answer& answer);

}  // namespace voltsill::server
