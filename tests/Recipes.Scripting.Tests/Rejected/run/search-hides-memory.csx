// R4004
class Large : IComparer<int>
{
    public int Compare(int a, int b) => new int[int.MaxValue].Length;
}

try
{
    Report.Note($"{Array.BinarySearch([1, 2], 1, new Large())}");
}
catch (InvalidOperationException)
{
    Report.Note("went on");
}
