namespace Recipes.Imaging.Charts;

/// <summary>One place of a chart.</summary>
/// <param name="Row">From 0.</param>
/// <param name="Column">From 0.</param>
/// <param name="Color">What is printed; where <paramref name="Note"/> crosses the cell out, what would have been asked for.</param>
/// <param name="Crossed">True where nothing is printed but a cross.</param>
/// <param name="Note">What the legend says about the cell, or null.</param>
public sealed record ChartCell(int Row, int Column, Rgba8 Color, bool Crossed = false, string? Note = null)
{
    /// <summary>Row letters and column number, from <c>A1</c>; after row <c>Z</c> comes <c>AA</c>.</summary>
    public string Label
    {
        get
        {
            string letters = "";
            for (int row = Row + 1; row > 0; row = (row - 1) / 26)
            {
                letters = (char)('A' + ((row - 1) % 26)) + letters;
            }

            return letters + (Column + 1).ToString(System.Globalization.CultureInfo.InvariantCulture);
        }
    }
}
