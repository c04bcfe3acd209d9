"""Static files with content hashes in their names, including the imports between ES modules."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class ModuleStaticFilesStorage(CompressedManifestStaticFilesStorage):
    support_js_module_import_aggregation = True
    # A page should still come up when a file is asked for before `collectstatic` has run.
    manifest_strict = False

    def stored_name(self, name: str) -> str:
        try:
            return super().stored_name(name)
        except ValueError:
            return name
