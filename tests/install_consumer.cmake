# Installs the build given as -D build=... into an empty prefix, then configures, builds and runs tests/consumer against it.
set(prefix ${build}/install_consumer/prefix)
set(consumer ${build}/install_consumer/build)
file(REMOVE_RECURSE ${build}/install_consumer)

function(run)
  execute_process(COMMAND ${ARGV} COMMAND_ECHO STDOUT COMMAND_ERROR_IS_FATAL ANY)
endfunction()

run(${CMAKE_COMMAND} --install ${build} --prefix ${prefix})
run(${CMAKE_COMMAND} -S ${CMAKE_CURRENT_LIST_DIR}/consumer -B ${consumer} -G ${generator}
    -D CMAKE_CXX_COMPILER=${compiler} -D CMAKE_PREFIX_PATH=${prefix})
run(${CMAKE_COMMAND} --build ${consumer})
run(${consumer}/consumer)

foreach(data models scenarios)
  if(NOT IS_DIRECTORY ${prefix}/share/railseep/${data})
    message(FATAL_ERROR "${data} is not installed; ${prefix}/share/railseep/${data} should hold it")
  endif()
endforeach()
