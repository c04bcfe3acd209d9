"""Caches that are done without while they are away: nothing is found in them and nothing kept."""

import logging
import time

from django.core.cache.backends.base import BaseCache
from django.core.cache.backends.filebased import FileBasedCache
from django.core.cache.backends.redis import RedisCache
from redis.exceptions import RedisError

log = logging.getLogger(__name__)

AWAY = (RedisError, OSError)
# After a failure nothing is asked for so long, so that no page waits for one dead server many times.
LEFT_ALONE_S = 5.0


class DoneWithout(BaseCache):
    """What each method answers while the cache is away is what an empty, forgetful one would say."""

    _away_until = 0.0

    def _or(self, instead, ask):
        if time.monotonic() < DoneWithout._away_until:
            return instead
        try:
            return ask()
        except AWAY as error:
            DoneWithout._away_until = time.monotonic() + LEFT_ALONE_S
            log.warning("The cache is away and done without: %s", type(error).__name__)
            return instead

    def add(self, *args, **how):
        return self._or(True, lambda: super(DoneWithout, self).add(*args, **how))

    def get(self, key, default=None, version=None):
        return self._or(default, lambda: super(DoneWithout, self).get(key, default, version))

    def set(self, *args, **how):
        return self._or(None, lambda: super(DoneWithout, self).set(*args, **how))

    def touch(self, *args, **how):
        return self._or(False, lambda: super(DoneWithout, self).touch(*args, **how))

    def delete(self, *args, **how):
        return self._or(False, lambda: super(DoneWithout, self).delete(*args, **how))

    def has_key(self, *args, **how):
        return self._or(False, lambda: super(DoneWithout, self).has_key(*args, **how))

    def get_many(self, *args, **how):
        return self._or({}, lambda: super(DoneWithout, self).get_many(*args, **how))

    def set_many(self, data, *args, **how):
        return self._or(list(data), lambda: super(DoneWithout, self).set_many(data, *args, **how))

    def delete_many(self, *args, **how):
        return self._or(None, lambda: super(DoneWithout, self).delete_many(*args, **how))


class Redis(DoneWithout, RedisCache):
    pass


class Files(DoneWithout, FileBasedCache):
    pass
