// R2002 source
int Past(ref int one) => new Span<int>(ref one).Length;
