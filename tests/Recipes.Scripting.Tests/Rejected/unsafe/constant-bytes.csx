// R2003
int Count(ReadOnlySpan<byte> all) => all.Length;
int n = Count([1, 2, 3]);
