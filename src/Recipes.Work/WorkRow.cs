using System.Globalization;
using Microsoft.Data.Sqlite;
using Recipes.Problems;

namespace Recipes.Work;

/// <summary>One row of a work file, read as hostile data: anything of another type than it must have is damage.</summary>
internal readonly struct WorkRow(SqliteDataReader reader, WorkDatabase database)
{
    /// <summary>SQL for a column that is read only where it is at most <paramref name="most"/> bytes; otherwise it counts as missing.</summary>
    public static string Bounded(string column, int most) =>
        string.Create(CultureInfo.InvariantCulture, $"CASE WHEN octet_length({column}) <= {most} THEN {column} END AS {column}");

    /// <summary>A number from 1: the id of a row.</summary>
    public long Id(int column) => reader.GetValue(column) is long value and >= 1 ? value : throw Wrong(column);

    /// <summary>A number in a range.</summary>
    public int Number(int column, int least, int most) =>
        reader.GetValue(column) is long value && value >= least && value <= most ? (int)value : throw Wrong(column);

    /// <summary>Text.</summary>
    public string Text(int column) => reader.GetValue(column) as string ?? throw Wrong(column);

    /// <summary>Texts of so many columns from one on.</summary>
    public string[] Texts(int column, int count)
    {
        var texts = new string[count];
        for (int i = 0; i < count; i++)
        {
            texts[i] = Text(column + i);
        }

        return texts;
    }

    /// <summary>True where there is nothing.</summary>
    public bool IsNull(int column) => reader.IsDBNull(column);

    /// <summary>Text or null.</summary>
    public string? TextOrNull(int column) => reader.IsDBNull(column) ? null : Text(column);

    /// <summary>A point in time.</summary>
    public DateTimeOffset Time(int column) =>
        DateTimeOffset.TryParseExact(Text(column), "O", CultureInfo.InvariantCulture, DateTimeStyles.None, out var time)
            ? time
            : throw Wrong(column);

    /// <summary>Bytes.</summary>
    public byte[] Bytes(int column) => reader.GetValue(column) as byte[] ?? throw Wrong(column);

    private ProblemException Wrong(int column) => database.Damaged($"column {reader.GetName(column)} holds what it may not hold");
}
