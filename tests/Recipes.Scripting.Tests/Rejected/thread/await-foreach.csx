// R2002
IAsyncEnumerable<int> all = null;
await foreach (int n in all) { }
