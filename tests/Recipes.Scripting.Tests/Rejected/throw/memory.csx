// R2002
throw new OutOfMemoryException();
