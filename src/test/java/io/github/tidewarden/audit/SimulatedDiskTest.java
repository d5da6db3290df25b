package io.github.tidewarden.audit;

import static java.nio.charset.StandardCharsets.UTF_8;

import io.github.tidewarden.rehearsal.SimulatedDisk;

class SimulatedDiskTest extends AuditFilesContract {

  private final SimulatedDisk disk = new SimulatedDisk();

  @Override
  AuditFiles files() {
    return disk;
  }

  @Override
  String setAside(String name) {
    return new String(disk.aside().get(name), UTF_8);
  }
}
