"""How a worker comes to a photo: by its path, through its storage, or handed the bytes."""

from tipvision.batch.sources.storage import in_this_process, is_url, storage_of
from tipvision.batch.workers.content import content_of
from tipvision.batch.workers.worker import Task
from tipvision.photo.fault import PhotoFault


def task_of(name: str, location: str) -> Task:
    """The task of reading the photo at a path or URL.

    Raises PhotoFault where its storage cannot be reached.
    """
    if not is_url(location):
        return Task(name, location)
    try:
        storage, path = storage_of(location)
    except ValueError as error:
        raise PhotoFault(str(error), "Name it anew.") from error
    content = content_of(path, storage) if in_this_process(storage) else None
    return Task(name, path, storage, content)
