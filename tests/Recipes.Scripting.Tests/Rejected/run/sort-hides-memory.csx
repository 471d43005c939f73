// R4004
var two = new List<int> { 2, 1 };
try
{
    two.Sort((a, b) => new int[int.MaxValue].Length);
}
catch (InvalidOperationException)
{
    Report.Note("went on");
}
