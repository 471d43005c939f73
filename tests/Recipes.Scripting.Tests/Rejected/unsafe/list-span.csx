// R2002 source
int n = System.Runtime.InteropServices.CollectionsMarshal.AsSpan(new List<int>()).Length;
