// R2003 source
Func<int, int> f = [System.Diagnostics.DebuggerHidden] (int n) => n;
