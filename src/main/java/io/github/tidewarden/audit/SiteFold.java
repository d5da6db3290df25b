package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Checkpoint;
import io.github.tidewarden.control.SiteMemory;
import java.util.Map;

/** The site's memory as the audit keeps it. */
public final class SiteFold implements Fold<SiteMemory> {

  @Override
  public SiteMemory apply(SiteMemory state, AuditRecord record) {
    return state.apply(record);
  }

  @Override
  public Map<String, Object> checkpoint(SiteMemory state) {
    return Checkpoint.of(state);
  }
}
