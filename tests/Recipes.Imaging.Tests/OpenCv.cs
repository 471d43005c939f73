using OpenCvSharp;

namespace Recipes.Imaging.Tests;

/// <summary>OpenCV as an independent oracle, where its native library can load.</summary>
static class OpenCv
{
    private static readonly Lazy<string?> Missing = new(() =>
    {
        try
        {
            using var probe = new Mat(1, 1, MatType.CV_8UC1);
            return null;
        }
        catch (Exception e) when (e is TypeInitializationException or DllNotFoundException or OpenCvSharpException)
        {
            return "OpenCV's native library can't load; on Debian install libgtk-3-0.";
        }
    });

    /// <summary>Skips the test on a bare machine; under RECIPES_CI=1 a missing library fails it.</summary>
    public static void OrSkip()
    {
        if (Environment.GetEnvironmentVariable("RECIPES_CI") == "1")
        {
            Missing.Value.ShouldBeNull();
        }

        Assert.SkipUnless(Missing.Value is null, Missing.Value ?? "");
    }
}
