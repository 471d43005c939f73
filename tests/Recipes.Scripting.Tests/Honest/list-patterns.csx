// note: empty one:7 ends 1..4 two-then-more
string Shape(int[] all) => all switch
{
    [] => "empty",
    [var only] => $"one:{only}",
    [1, .., 4] => "ends 1..4",
    [_, _, .. { Length: > 0 }] => "two-then-more",
    _ => "other",
};

Report.Note(string.Join(" ", Shape([]), Shape([7]), Shape([1, 2, 3, 4]), Shape([5, 6, 7])));
