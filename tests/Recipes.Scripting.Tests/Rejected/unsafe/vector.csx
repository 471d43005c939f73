// R2002
string s = System.Runtime.Intrinsics.X86.Sse2.IsSupported.ToString();
