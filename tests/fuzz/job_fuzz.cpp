// A job file: what is written reads back to the same text. Nothing that it names is opened.
#include "job/job.hpp"
#include "oracle.hpp"

using namespace railseep;

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  may_refuse([&] {
    const std::string written = job_text(read_job(file_holding(text)));
    const Job again = must_read(written, [&] { return read_job(file_holding(written)); });
    if (job_text(again) != written) broken("a job written twice is the same text");
  });
  return 0;
}
