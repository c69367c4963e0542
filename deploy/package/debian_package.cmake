# The Debian package. The maintainer scripts beside this file create the user and the folders, and leave records alone.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME quietpass)
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_PACKAGE_VENDOR "The quietpass authors")
set(CPACK_PACKAGE_CONTACT "The quietpass authors <quietpass@example.org>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "counts vocalizations of cattle and pigs in the restrainer")
set(CPACK_PACKAGE_DESCRIPTION
"A daemon that listens at a restrainer, counts the animals that cry out, ties
each call to the restraint cycle from dry-contact inputs, and writes signed
records of every shift. A page in the browser shows the shift as it goes on.
.
It measures; it is never a safety device and replaces no trained person.")
set(CPACK_RESOURCE_FILE_LICENSE ${CMAKE_SOURCE_DIR}/LICENSE)
set(CPACK_PACKAGING_INSTALL_PREFIX ${CMAKE_INSTALL_PREFIX}) # build_facts.h has it too
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS
    OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
set(CPACK_STRIP_FILES ON)
set(CPACK_VERBATIM_VARIABLES ON)

set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_RELEASE 1)
set(CPACK_DEBIAN_PACKAGE_SECTION sound)
set(CPACK_DEBIAN_PACKAGE_PRIORITY optional)
set(CPACK_DEBIAN_COMPRESSION_TYPE xz)
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
# Beside the libraries: who makes users and folders, what knows time zones and authorities, letters for reports.
set(CPACK_DEBIAN_PACKAGE_DEPENDS
  "systemd | systemd-standalone-sysusers, systemd | systemd-standalone-tmpfiles, init-system-helpers (>= 1.52), procps, tzdata, ca-certificates, fonts-dejavu-core")
set(CPACK_DEBIAN_PACKAGE_RECOMMENDS "udev, systemd-timesyncd | time-daemon")
set(CPACK_DEBIAN_PACKAGE_SUGGESTS "alsa-utils, gpiod")
set(CPACK_DEBIAN_PACKAGE_CONTROL_EXTRA
  ${CMAKE_CURRENT_LIST_DIR}/postinst ${CMAKE_CURRENT_LIST_DIR}/prerm ${CMAKE_CURRENT_LIST_DIR}/postrm)
include(CPack)
