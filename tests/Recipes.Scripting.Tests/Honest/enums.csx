// note: Wing, Tail|6 True Wing False
enum Parts
{
    None = 0,
    Beak = 1,
    Wing = 2,
    Tail = 4,
}

var some = Parts.Wing | Parts.Tail;
string names = string.Join(", ", new[] { Parts.Beak, Parts.Wing, Parts.Tail }.Where(part => some.HasFlag(part)));
Report.Note($"{names}|{(int)some} {(some & Parts.Wing) != 0} {Parts.Wing} {some == Parts.None}");
