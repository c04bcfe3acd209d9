"""Static files with content hashes in their names, including the imports between ES modules."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

# Their own import names mean nothing to a path: such files are served as they were shipped.
LEFT_AS_SHIPPED = ("django_htmx/",)


class ModuleStaticFilesStorage(CompressedManifestStaticFilesStorage):
    support_js_module_import_aggregation = True
    # A page should still come up when a file is asked for before `collectstatic` has run.
    manifest_strict = False

    def url_converter(self, name, hashed_files, template=None):
        if name.startswith(LEFT_AS_SHIPPED):
            return lambda match: match[0]
        return super().url_converter(name, hashed_files, template)
