using System.Diagnostics;

namespace Recipes.Hosting.Tests.Pages;

/// <summary>Chromium without a window, where there is one; skips where not, and fails where everything must be there.</summary>
internal static class Browser
{
    public static string Needed()
    {
        string? browser = new[] { "chromium", "chromium-browser", "google-chrome" }
            .SelectMany(name => (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Select(folder => Path.Combine(folder, name)))
            .FirstOrDefault(File.Exists);
        if (Environment.GetEnvironmentVariable("RECIPES_CI") != "1")
        {
            Assert.SkipUnless(browser is not null, "no Chromium on the path");
        }

        return browser.ShouldNotBeNull();
    }

    public static string Run(string browser, string folder, string action, string file, params ReadOnlySpan<string> more)
    {
        var start = new ProcessStartInfo(browser) { RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (string argument in (string[])
        [
            "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update",
            "--disable-sync", "--window-size=1200,1600", $"--user-data-dir={Path.Combine(folder, "profile")}", .. more, action, file,
        ])
        {
            start.ArgumentList.Add(argument);
        }

        using var process = Process.Start(start)!;
        // Read and dropped, so that a full pipe can't stall the browser.
        _ = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return output;
    }
}
