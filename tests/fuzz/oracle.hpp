#pragma once

#include <string>

#include "quantity/error.hpp"

namespace railseep {

/// Ends the process, so that the fuzzer keeps the input: what was promised does not hold.
[[noreturn]] void broken(const std::string& promise);

/// Path of a file that holds these bytes, until the next call. It lies in memory alone.
std::string file_holding(const std::string& bytes);

/// Calls what may refuse its input. An Error is an answer; any other exception ends the process.
template <class Read>
void may_refuse(const Read& read) {
  try {
    read();
  } catch (const Error&) {
    return;
  }
}

/// Calls what may not refuse its input, because the program wrote that itself.
template <class Read>
auto must_read(const std::string& written, const Read& read) {
  try {
    return read();
  } catch (const Error& error) {
    broken("what was written is read again: " + std::string(error.what()) + "\n" + written);
  }
}

}  // namespace railseep
