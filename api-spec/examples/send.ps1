# Sends every new line of a growing file of JSON lines, as bay software on Windows may write one.
#   powershell -File send.ps1 -File C:\bay\shots.ndjson
# Sending is safe to repeat: what is stored already counts as a duplicate.
param(
    [Parameter(Mandatory = $true)][string]$File,
    [string]$Service = 'http://127.0.0.1:8417',
    [int]$EverySeconds = 2
)
$ErrorActionPreference = 'Stop'
$sent = 0
while ($true) {
    $lines = @(Get-Content -LiteralPath $File -Encoding UTF8 | Select-Object -Skip $sent)
    if ($lines.Count -gt 0) {
        $body = [System.Text.Encoding]::UTF8.GetBytes(($lines -join "`n") + "`n")
        try {
            $told = Invoke-RestMethod -Method Post -Uri "$Service/v1/shots" -ContentType 'application/x-ndjson' -Body $body
            $sent += $lines.Count
            Write-Output ('{0} accepted, {1} known, {2} refused' -f $told.accepted, $told.duplicates, $told.refused)
            foreach ($refusal in $told.refusals) {
                Write-Warning ('{0} {1}: {2}' -f $refusal.source, $refusal.id, ($refusal.errors.detail -join '; '))
            }
        } catch {
            Write-Warning ('not sent, trying again: {0}' -f $_.Exception.Message)
        }
    }
    Start-Sleep -Seconds $EverySeconds
}
