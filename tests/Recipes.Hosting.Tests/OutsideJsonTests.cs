using System.Text;
using System.Text.Json;
using Recipes.Files;
using Recipes.Hosting.DryRuns;
using Recipes.Problems;

namespace Recipes.Hosting.Tests;

/// <summary>A text of nothing but brackets takes twelve bytes for each as a document, and a hundred as nodes; so they are counted before.</summary>
public sealed class OutsideJsonTests : IDisposable
{
    private readonly string root = Directory.CreateTempSubdirectory("recipes-json-").FullName;

    public void Dispose() => Directory.Delete(root, recursive: true);

    // The object and the list are two of them; names are none.
    [Theory]
    [InlineData("[]")]
    [InlineData("{}")]
    [InlineData("0")]
    [InlineData("\"\"")]
    [InlineData("{\"a\":[]}", 2)]
    public void So_many_values_are_read_and_no_more(string one, int values = 1)
    {
        int fit = (OutsideJson.MostValues - 2) / values;
        (OutsideJson.Parse(Of(one, fit)) is null).ShouldBeFalse();
        (OutsideJson.Parse(Of(one, fit + 1)) is null).ShouldBeTrue();
        OutsideJson.Document(Of(one, fit)).Dispose();
        Should.Throw<JsonException>(() => OutsideJson.Document(Of(one, fit + 1))).Message.ShouldContain("1,000,000 values");
    }

    [Fact]
    public void Of_more_none_is_made()
    {
        // 60 MB, the most that is read of a report; nearly all of it is in the list.
        byte[] hostile = Of("[]", 20_000_000);
        long before = GC.GetAllocatedBytesForCurrentThread();
        (OutsideJson.Parse(hostile) is null).ShouldBeTrue();
        (GC.GetAllocatedBytesForCurrentThread() - before).ShouldBeLessThan(100_000);
    }

    [Fact]
    public void A_dry_run_with_such_a_report_is_refused()
    {
        File.WriteAllBytes(Path.Combine(root, "report.json"), Of("[]", 2_000_000));
        var refused = Should.Throw<ProblemException>(() => DryRunFolder.Read(root)).Problems[0];
        refused.Code.ShouldBe(Codes.NotADryRun);
        refused.Message.ShouldContain("report.json that is no JSON object of at most 64 MB and 1,000,000 values");
    }

    private static byte[] Of(string one, int count)
    {
        var text = new StringBuilder("{\"a\":[", (one.Length + 1) * count);
        for (int i = 0; i < count; i++)
        {
            text.Append(i == 0 ? "" : ",").Append(one);
        }

        return Encoding.UTF8.GetBytes(text.Append("]}").ToString());
    }
}
