# Brings uPlot, which draws the pages' charts, into the build folder: by npm, at the version and with the integrity hash that
# package-lock.json has. Asks npm only where the build folder does not have that version yet, so a second build needs no
# network. Sets uplot_folder.
set(npm_folder ${CMAKE_CURRENT_BINARY_DIR}/npm)
set(uplot_folder ${npm_folder}/node_modules/uplot)
set(npm_lock ${CMAKE_CURRENT_LIST_DIR}/package-lock.json)
set(npm_installed ${npm_folder}/installed.json)  # the lock file that the folder was filled by
set_property(DIRECTORY ${PROJECT_SOURCE_DIR} APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${npm_lock} ${uplot_folder}/LICENSE)

set(installed "")
if(EXISTS ${npm_installed} AND EXISTS ${uplot_folder}/LICENSE)
  file(READ ${npm_installed} installed)
endif()
file(READ ${npm_lock} wanted)
if(NOT installed STREQUAL wanted)
  find_program(NPM npm)
  if(NOT NPM)
    message(FATAL_ERROR "keepway's pages need uPlot from the npm registry, and there is no npm on this machine.\n"
      "Install it (Debian: apt-get install npm), then configure again.")
  endif()
  message(STATUS "Fetching uPlot from the npm registry")
  file(MAKE_DIRECTORY ${npm_folder})
  file(COPY ${CMAKE_CURRENT_LIST_DIR}/package.json ${npm_lock} DESTINATION ${npm_folder})
  execute_process(COMMAND ${NPM} ci --ignore-scripts --no-audit --no-fund --fetch-retries=1
    WORKING_DIRECTORY ${npm_folder} TIMEOUT 300
    RESULT_VARIABLE npm_result OUTPUT_VARIABLE npm_said ERROR_VARIABLE npm_said)
  if(NOT npm_result EQUAL 0)
    message(FATAL_ERROR "keepway's pages need uPlot from the npm registry, and npm could not fetch it:\n${npm_said}\n"
      "Connect this machine to the npm registry and configure again, or copy the folder ${npm_folder} "
      "from another build of the same version: with it no network is needed.")
  endif()
  file(COPY_FILE ${npm_lock} ${npm_installed})
endif()
