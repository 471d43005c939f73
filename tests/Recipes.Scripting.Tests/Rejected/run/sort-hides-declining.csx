// R4002
var two = new[] { 2, 1 };
try
{
    Array.Sort(two, (a, b) =>
    {
        Recipe.Decline("This sail is gray already.");
        return 0;
    });
}
catch (InvalidOperationException)
{
    Report.Note("went on");
}
