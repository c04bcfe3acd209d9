"""Static files with content hashes in their names, including the imports between ES modules."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

# Their own import names mean nothing to a path: such files are served as they were shipped.
LEFT_AS_SHIPPED = ("django_htmx/",)


class ModuleStaticFilesStorage(CompressedManifestStaticFilesStorage):
    support_js_module_import_aggregation = True
    manifest_strict = False

    def stored_name(self, name):
        """The hashed name; the plain one before `collectstatic` has run, so that a page still opens."""
        try:
            return super().stored_name(name)
        except ValueError:
            return name

    def url_converter(self, name, hashed_files, template=None):
        if name.startswith(LEFT_AS_SHIPPED):
            return lambda match: match[0]
        return super().url_converter(name, hashed_files, template)
