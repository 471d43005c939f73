// R2003
class Q
{
    [System.Runtime.CompilerServices.InterpolatedStringHandler]
    public ref struct H
    {
        public H(int a, int b) { }

        public void AppendLiteral(string s) { }
    }
}
