// R2003
unsafe int Size() => sizeof(decimal);
