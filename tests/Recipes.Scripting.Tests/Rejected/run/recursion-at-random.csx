// R4005
// Which function comes next doesn't repeat, so the runtime tells each frame of the overflow: more than a pipe holds.
class Gull
{
    public static uint Left(uint turn) => ((turn >> 16) & 1) == 0 ? Left(Next(turn)) ^ 1 : Right(Next(turn)) ^ 2;
    public static uint Right(uint turn) => ((turn >> 16) & 1) == 0 ? Left(Next(turn)) ^ 3 : Right(Next(turn)) ^ 4;
    private static uint Next(uint turn) => unchecked(turn * 1664525u + 1013904223u);
}
Report.Note($"{Gull.Left(1)}");
