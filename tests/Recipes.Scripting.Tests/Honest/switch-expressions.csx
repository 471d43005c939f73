// note: small,odd,large,none
string Kind(int? n) => n switch
{
    null => "none",
    < 0 or > 100 => "large",
    var k when k % 2 == 1 => "odd",
    _ => "small",
};

Report.Note(string.Join(',', new int?[] { 2, 3, 101, null }.Select(Kind)));
