"""The supervisor's page of a record: one HTML file for whoever was not there."""
