package io.github.tidewarden.audit;

import static java.nio.charset.StandardCharsets.UTF_8;

class FakeDiskTest extends AuditFilesContract {

  private final FakeDisk disk = new FakeDisk();

  @Override
  AuditFiles files() {
    return disk;
  }

  @Override
  String setAside(String name) {
    return new String(disk.aside.get(name), UTF_8);
  }
}
