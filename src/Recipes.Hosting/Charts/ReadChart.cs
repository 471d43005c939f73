using System.Security.Cryptography;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Imaging.Charts;
using Recipes.Problems;

namespace Recipes.Hosting.Charts;

/// <summary>A chart file as read from disk: anybody's text, bounded before a byte of it is looked at.</summary>
/// <param name="Path">Where it lies.</param>
/// <param name="Sha256">Its hash, lower-case hex.</param>
/// <param name="File">What it says.</param>
public sealed record ReadChart(string Path, string Sha256, ChartFile File)
{
    /// <summary>Reads a chart file.</summary>
    /// <param name="path">Where.</param>
    /// <param name="scale">The scale of RGB values; null detects it.</param>
    /// <param name="sha256">The hash that it must have; null takes any.</param>
    /// <exception cref="ProblemException">R7001 missing, unreadable or malformed; R7002; R7005; R7008 another hash.</exception>
    public static ReadChart Read(string path, RgbScale? scale = null, string? sha256 = null)
    {
        byte[] bytes;
        try
        {
            bytes = OutsideFile.Read(path, ChartFile.LargestFile)
                ?? throw new ProblemException(Codes.DamagedChart, $"The chart file can't be read: it is larger than {ChartFile.LargestFile >> 20} MB.",
                    "Name a chart file.", new Place(path));
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            throw new ProblemException(Codes.DamagedChart, $"There is no chart file {path}.", "Check the path.", new Place(path), e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            throw new ProblemException(Codes.DamagedChart, $"The chart file can't be read: {e.Message}",
                "Check the file and its permissions.", new Place(path), e);
        }

        string hash = Convert.ToHexStringLower(SHA256.HashData(bytes));
        if (sha256 is not null && !string.Equals(hash, sha256, StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(Codes.OtherChart, "The chart file is not the one that the garment setup names: its hash differs.",
                $"Put the right file back, or write the new chart into the setup: sha256 {hash}, and the date it was printed.", new Place(path));
        }

        return new ReadChart(path, hash, ChartFile.Read(bytes, path, scale));
    }

    /// <summary>The chart's readings.</summary>
    /// <exception cref="ProblemException">R7002 it has none.</exception>
    public IReadOnlyList<PatchReading> Readings => !File.IsMeasured
        ? throw new ProblemException(Codes.IncompleteChart, "The chart file has no readings: the fields LAB_L, LAB_A and LAB_B are missing.",
            "Measure the printed, cured chart and save its readings as Lab under D50.", new Place(Path))
        : [.. File.Rows.Select(row => new PatchReading(CleanText.Line(row.Label, 80), new Rgb(row.R, row.G, row.B), row.Lab!.Value))];
}
